package command

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
)

// Staged are files that are written whole before any of them takes its name.
type Staged struct {
	mutex   sync.Mutex // files may be written at once
	folder  string
	used    []string // files never to be replaced
	fresh   bool     // a file that is there is not replaced
	made    []string // folders that were made, outermost first
	waiting []staged
}

type staged struct {
	temporary string
	name      string
}

// Stage prepares to write files into a folder, created if missing. They never replace a file of
// another kind, the settings, or a file named as used: a job's ledger and what it reads.
func Stage(folder string, used ...string) (*Staged, error) {
	s := &Staged{folder: folder}
	if settings, err := settingsPath(); err == nil {
		used = append(used, settings)
	}
	for _, path := range used {
		if real, err := filepath.EvalSymlinks(path); err == nil && real != path {
			s.used = append(s.used, real) // a ledger keeps files beside it
		}
		s.used = append(s.used, path)
	}
	for missing := filepath.Clean(folder); ; missing = filepath.Dir(missing) {
		info, err := os.Stat(missing)
		if errors.Is(err, os.ErrNotExist) {
			s.made = append([]string{missing}, s.made...)
			continue
		}
		if err == nil && !info.IsDir() {
			err = fmt.Errorf("%s is not a folder", missing)
		}
		if err != nil {
			return nil, fmt.Errorf("cannot write into the folder: %w", err)
		}
		break
	}
	for _, folder := range s.made {
		if err := os.Mkdir(folder, 0o777); err != nil && !errors.Is(err, os.ErrExist) { // another run may make it too
			s.Discard()
			return nil, fmt.Errorf("cannot create the folder: %w", err)
		}
	}
	return s, nil
}

// WriteNew writes a file; it never replaces one.
func WriteNew(path string, write func(io.Writer) error) error {
	return stageNew(path, func(s *Staged, name string) error { return s.Write(name, write) })
}

// MakeNew is WriteNew for what writes files by their path, into an empty file that is there.
func MakeNew(path string, write func(path string) error, used ...string) error {
	return stageNew(path, func(s *Staged, name string) error { return s.make(name, write) }, used...)
}

func stageNew(path string, write func(s *Staged, name string) error, used ...string) error {
	if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
		return &HintedError{fmt.Errorf("%s already exists", path), "name a new file; this command never replaces one"}
	}
	s, err := Stage(filepath.Dir(path), used...)
	if err != nil {
		return err
	}
	defer s.Discard()
	s.NeverReplace()
	if err := write(s, filepath.Base(path)); err != nil {
		return err
	}
	_, err = s.Keep()
	return err
}

// NeverReplace makes a file that is there, or that another program writes
// meanwhile, an error instead of being replaced.
func (s *Staged) NeverReplace() { s.fresh = true }

// make is Write for what writes files by their path.
func (s *Staged) make(name string, write func(path string) error) error {
	if err := s.Write(name, func(io.Writer) error { return nil }); err != nil {
		return err
	}
	path := s.waiting[len(s.waiting)-1].temporary
	if err := write(path); err != nil {
		return err
	}
	file, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", filepath.Join(s.folder, name), cause(err))
	}
	return errors.Join(file.Sync(), file.Close())
}

// Read returns what was written of a file.
func (s *Staged) Read(name string) ([]byte, error) {
	for _, file := range s.waiting {
		if file.name == name {
			content, err := os.ReadFile(file.temporary)
			if err != nil {
				return nil, fmt.Errorf("cannot read %s back: %w", filepath.Join(s.folder, name), cause(err))
			}
			return content, nil
		}
	}
	return nil, fmt.Errorf("%s was not written", name)
}

// Write writes one file under a temporary name and puts it safely on the disk.
// Anything that blocks its name is found now, before it is too late.
func (s *Staged) Write(name string, write func(io.Writer) error) (err error) {
	path := filepath.Join(s.folder, name)
	if err := s.checkUsed(path); err != nil {
		return err
	}
	if info, err := os.Lstat(path); err == nil && !info.Mode().IsRegular() {
		return fmt.Errorf("cannot write %s: something other than a file has this name", path)
	}
	file, err := temporary(s.folder, name)
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", path, cause(err))
	}
	s.mutex.Lock()
	s.waiting = append(s.waiting, staged{file.Name(), name})
	s.mutex.Unlock()
	buffered := bufio.NewWriter(file)
	err = write(buffered)
	if err == nil {
		err = buffered.Flush()
	}
	if err == nil {
		err = file.Sync()
	}
	if closing := file.Close(); err == nil {
		err = closing
	}
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", path, cause(err))
	}
	if s.fresh {
		return nil
	}
	return checkKind(file.Name(), path)
}

// temporary makes a file of a name that nobody uses. Unlike os.CreateTemp it
// leaves the rights of the file to the person's settings.
func temporary(folder, name string) (*os.File, error) {
	for {
		path := filepath.Join(folder, fmt.Sprintf(".%s.%08x.part", name, rand.Uint32()))
		file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, os.ErrExist) {
			return file, err
		}
	}
}

// Keep gives every file its name and returns their paths.
func (s *Staged) Keep() ([]string, error) {
	var paths []string
	for len(s.waiting) > 0 {
		file := s.waiting[0]
		path := filepath.Join(s.folder, file.name)
		if err := s.name(file.temporary, path); err != nil {
			return paths, err
		}
		s.waiting = s.waiting[1:]
		paths = append(paths, path)
	}
	s.made = nil
	if folder, err := os.Open(s.folder); err == nil {
		// The names are safe once the folder is; not every system can do it.
		_ = folder.Sync()
		_ = folder.Close()
	}
	return paths, nil
}

// name gives a file its name.
func (s *Staged) name(temporary, path string) error {
	if s.fresh {
		switch err := os.Link(temporary, path); {
		case err == nil:
			_ = os.Remove(temporary)
			return nil
		case errors.Is(err, os.ErrExist):
			return fmt.Errorf("cannot write %s: another program wrote it in the meantime", path)
		}
		// Not every disk can do it; there the name is all but surely free.
		if _, err := os.Lstat(path); err == nil {
			return fmt.Errorf("cannot write %s: another program wrote it in the meantime", path)
		}
	}
	if err := os.Rename(temporary, path); err != nil {
		return fmt.Errorf("cannot write %s (is it open in another program?): %w", path, cause(err))
	}
	return nil
}

// Discard removes what was not kept, and folders made for it. It is harmless
// after Keep.
func (s *Staged) Discard() {
	for _, file := range s.waiting {
		_ = os.Remove(file.temporary)
	}
	s.waiting = nil
	for i := len(s.made) - 1; i >= 0; i-- {
		_ = os.Remove(s.made[i]) // fails, rightly, when something else is in it
	}
	s.made = nil
}

// cause drops the temporary name from an error of the file system.
func cause(err error) error {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}
