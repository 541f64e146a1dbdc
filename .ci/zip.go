// Zip packs a folder of plain files into OUT, all with one time and one mode, in the
// order of their names, so that the same files give the same bytes: zip OUT TIME FOLDER,
// TIME in seconds since 1970.
package main

import (
	"archive/zip"
	"io/fs"
	"log"
	"os"
	"path/filepath"
	"strconv"
	"time"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 4 {
		log.Fatal("usage: zip OUT TIME FOLDER")
	}
	if err := pack(os.Args[1], os.Args[2], os.Args[3]); err != nil {
		log.Fatal(err)
	}
}

func pack(out, seconds, folder string) error {
	at, err := strconv.ParseInt(seconds, 10, 64)
	if err != nil {
		return err
	}
	entries, err := os.ReadDir(folder) // in the order of names
	if err != nil {
		return err
	}
	file, err := os.Create(out)
	if err != nil {
		return err
	}
	defer file.Close()
	archive := zip.NewWriter(file)
	for _, entry := range entries {
		content, err := os.ReadFile(filepath.Join(folder, entry.Name()))
		if err != nil {
			return err
		}
		header := &zip.FileHeader{Name: filepath.Base(folder) + "/" + entry.Name(), Method: zip.Deflate, Modified: time.Unix(at, 0).UTC()}
		header.SetMode(fs.FileMode(0o755))
		w, err := archive.CreateHeader(header)
		if err != nil {
			return err
		}
		if _, err := w.Write(content); err != nil {
			return err
		}
	}
	if err := archive.Close(); err != nil {
		return err
	}
	return file.Close()
}
