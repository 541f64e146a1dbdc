package main

import (
	"cmp"
	"slices"
	"time"
)

// key is what a count is kept for.
type key struct {
	group
	reader string
}

// count is of texts. A text that stands on a photograph twice, or was read
// twice, counts once.
type count struct {
	read, made int
}

// lap is what one photograph took. Of a reader that is a process of its own,
// decoding is a part of reading.
type lap struct {
	decoding, reading time.Duration
}

// wrongText was read, but does not stand on the photograph.
type wrongText struct {
	shot
	reader, text string
}

// tally is what was read of what was made.
type tally struct {
	counts map[key]count
	laps   map[key][]lap
	wrong  []wrongText
	broken map[string]int // photographs on which a reader broke down
	peak   int64          // bytes that slipread took at most for a large photograph, 0 when it was not measured
}

func newTally() *tally {
	return &tally{counts: map[key]count{}, laps: map[key][]lap{}, broken: map[string]int{}}
}

// add counts what a reader made of a photograph on which the texts made stand.
func (t *tally) add(s shot, reader string, made, read []string) {
	c := t.counts[key{s.group, reader}]
	made, read = unique(made), unique(read)
	c.made += len(made)
	for _, text := range read {
		if slices.Contains(made, text) {
			c.read++
		} else {
			t.wrong = append(t.wrong, wrongText{s, reader, text})
		}
	}
	t.counts[key{s.group, reader}] = c
}

func unique(texts []string) []string { return slices.Compact(slices.Sorted(slices.Values(texts))) }

// sum adds up the counts of a reader in the groups that are wanted.
func (t *tally) sum(reader string, wanted func(group) bool) count {
	var sum count
	for k, c := range t.counts {
		if k.reader == reader && wanted(k.group) {
			sum.read += c.read
			sum.made += c.made
		}
	}
	return sum
}

// lapsOf gathers the laps of a reader in the groups that are wanted.
func (t *tally) lapsOf(reader string, wanted func(group) bool) []lap {
	var all []lap
	for k, laps := range t.laps {
		if k.reader == reader && wanted(k.group) {
			all = append(all, laps...)
		}
	}
	return all
}

// behind reports whether slipread was given these photographs and read fewer
// texts than the best of its peers.
func (t *tally) behind(readers []reader, wanted func(group) bool) bool {
	own := t.sum(slipread, wanted)
	return own.made > 0 && slices.ContainsFunc(readers, func(r reader) bool { return t.sum(r.name, wanted).read > own.read })
}

// wrongOf counts the wrong texts of a reader.
func (t *tally) wrongOf(reader string) int {
	n := 0
	for _, w := range t.wrong {
		if w.reader == reader {
			n++
		}
	}
	return n
}

// wrongOnEmpty counts the texts that slipread read where there was no code.
func (t *tally) wrongOnEmpty() int {
	n := 0
	for _, w := range t.wrong {
		if w.codes == 0 {
			n++
		}
	}
	return n
}

// median and worst of at least one duration. Of an even number of durations the
// median is the mean of the two in the middle.
func median(d []time.Duration) time.Duration {
	d = slices.Sorted(slices.Values(d))
	return (d[(len(d)-1)/2] + d[len(d)/2]) / 2
}

func worst(d []time.Duration) time.Duration { return slices.MaxFunc(d, cmp.Compare) }
