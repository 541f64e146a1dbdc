package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"golang.org/x/sync/errgroup"

	"graftslip/testdata/photos"
)

// session makes photographs and gives them to readers.
type session struct {
	camera  camera
	readers []reader
	timing  bool
	peak    func(ctx context.Context, file string) (int64, error) // what slipread takes for a photograph, bytes
	folder  string                                                // for the files of photographs
	keep    *keeper                                               // nil to remove them
	step    func()                                                // called for each photograph
	tally   *tally
}

// picture is a photograph in a file.
type picture struct {
	shot
	file  string
	texts []string // that stand on it
}

// run gives all shots to the readers, a few at a time.
func (s *session) run(ctx context.Context, shots []shot) error {
	for _, piece := range pieces(shots) {
		pictures, err := s.make(ctx, piece)
		if err != nil {
			return err
		}
		if err := s.read(ctx, pictures); err != nil {
			return err
		}
		if s.keep == nil {
			for _, p := range pictures {
				if err := os.Remove(p.file); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// make makes photographs, as many at a time as there are processors.
func (s *session) make(ctx context.Context, piece []shot) ([]picture, error) {
	pictures, made := make([]picture, len(piece)), make([]photos.Photo, len(piece))
	work, ctx := errgroup.WithContext(ctx)
	work.SetLimit(runtime.NumCPU())
	for i, shot := range piece {
		work.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			photo, err := shot.take(s.camera)
			if err != nil {
				return fmt.Errorf("%s: %w", shot.file(), err)
			}
			pictures[i] = picture{shot: shot, file: filepath.Join(s.folder, shot.file())}
			for _, code := range photo.Codes {
				pictures[i].texts = append(pictures[i].texts, code.Text)
			}
			if err := os.WriteFile(pictures[i].file, photo.JPEG, 0o600); err != nil {
				return err
			}
			photo.JPEG = nil
			made[i] = photo
			return nil
		})
	}
	if err := work.Wait(); err != nil {
		return nil, err
	}
	if s.keep != nil {
		for i, photo := range made {
			s.keep.add(piece[i], photo)
		}
	}
	return pictures, nil
}

// read gives photographs of one group to all readers that read their symbol.
func (s *session) read(ctx context.Context, pictures []picture) error {
	of := pictures[0].group
	able := s.readers
	if of.symbol != "" {
		able = readersOf(s.readers, of.symbol)
	}
	timed := of.codes > 1 || of.codes == 1 && s.timing && of.megapixels == large
	var answers [][]answer
	var err error
	if timed {
		answers, err = readTimed(ctx, able, pictures)
	} else {
		answers, err = readTogether(ctx, able, pictures)
	}
	if err != nil {
		return err
	}
	for i, r := range able {
		k := key{of, r.name}
		for j, p := range pictures {
			s.tally.add(p.shot, r.name, p.texts, answers[i][j].texts)
			if answers[i][j].broken {
				s.tally.broken[r.name]++
			}
			if timed {
				s.tally.laps[k] = append(s.tally.laps[k], answers[i][j].lap)
			}
		}
	}
	for _, p := range pictures {
		if s.timing && timed && of.codes == 1 && s.peak != nil {
			peak, err := s.peak(ctx, p.file)
			if err != nil {
				return err
			}
			s.tally.peak = max(s.tally.peak, peak)
		}
		s.step()
	}
	return nil
}

// readTimed gives one photograph to one reader at a time, while nothing else
// runs, and returns the answers of each reader.
func readTimed(ctx context.Context, readers []reader, pictures []picture) ([][]answer, error) {
	answers := make([][]answer, len(readers))
	for _, p := range pictures {
		for i, r := range readers {
			begin := time.Now()
			read, err := r.read(ctx, p.symbol, p.codes, []string{p.file})
			if err != nil {
				return nil, err
			}
			if read[0].lap == (lap{}) {
				read[0].lap.reading = time.Since(begin)
			}
			answers[i] = append(answers[i], read[0])
		}
	}
	return answers, nil
}

// readTogether lets the readers read beside one another, and those that must be
// alone afterwards.
func readTogether(ctx context.Context, readers []reader, pictures []picture) ([][]answer, error) {
	of := pictures[0].group
	var files []string
	for _, p := range pictures {
		files = append(files, p.file)
	}
	answers := make([][]answer, len(readers))
	work, together := errgroup.WithContext(ctx)
	work.SetLimit(runtime.NumCPU())
	for i, r := range readers {
		if !r.alone {
			work.Go(func() (err error) {
				answers[i], err = r.read(together, of.symbol, of.codes, files)
				return err
			})
		}
	}
	if err := work.Wait(); err != nil {
		return nil, err
	}
	for i, r := range readers {
		if r.alone {
			var err error
			if answers[i], err = r.read(ctx, of.symbol, of.codes, files); err != nil {
				return nil, err
			}
		}
	}
	return answers, nil
}
