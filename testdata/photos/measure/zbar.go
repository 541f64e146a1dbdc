package main

import (
	"context"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"os/exec"

	"graftslip/codes/scan"
)

// readyZbar finds zbarimg. It looks at light symbols on dark as well, and only
// for the symbol asked. Exit code 4 says that a photograph had none.
func readyZbar(ctx context.Context, _ string) (reading, string, error) {
	program, err := exec.LookPath("zbarimg")
	if err != nil {
		return nil, "", err
	}
	enable := map[string]string{scan.QR: "-Sqrcode.enable", scan.Code128: "-Scode128.enable"}
	read := func(ctx context.Context, symbol string, _ int, files []string) ([]answer, error) {
		args := append([]string{"--quiet", "--nodbus", "--xml", "-Sdisable", enable[symbol], "-Stest-inverted"}, files...)
		out, err := output(ctx, []int{4}, program, args...)
		if err != nil {
			return nil, err
		}
		return parseZbar(out, files)
	}
	return read, "zbar " + saidVersion(ctx, program, "--version"), nil
}

// parseZbar reads what zbarimg writes with --xml: a source for each file.
func parseZbar(out []byte, files []string) ([]answer, error) {
	var said struct {
		Sources []struct {
			File    string `xml:"href,attr"`
			Symbols []struct {
				Data struct {
					Format string `xml:"format,attr"` // "base64" when not all of it can be printed
					Text   string `xml:",chardata"`
				} `xml:"data"`
			} `xml:"index>symbol"`
		} `xml:"source"`
	}
	if err := xml.Unmarshal(out, &said); err != nil {
		return nil, fmt.Errorf("zbarimg: %w", err)
	}
	texts := map[string][]string{}
	for _, source := range said.Sources {
		texts[source.File] = nil
		for _, symbol := range source.Symbols {
			text := symbol.Data.Text
			if symbol.Data.Format == "base64" {
				decoded, err := base64.StdEncoding.DecodeString(text)
				if err != nil {
					return nil, fmt.Errorf("zbarimg: %s: %w", source.File, err)
				}
				text = string(decoded)
			}
			texts[source.File] = append(texts[source.File], text)
		}
	}
	return inOrder("zbarimg", texts, files)
}

// inOrder puts texts in the order of the files. A program that does not speak of
// each file has failed.
func inOrder(program string, texts map[string][]string, files []string) ([]answer, error) {
	answers := make([]answer, len(files))
	for i, file := range files {
		read, spoken := texts[file]
		if !spoken {
			return nil, fmt.Errorf("%s says nothing about %s", program, file)
		}
		answers[i].texts = read
	}
	return answers, nil
}
