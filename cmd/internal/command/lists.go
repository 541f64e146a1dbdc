package command

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"graftslip/records"
	"graftslip/records/manifest"
)

// parseLists reads a table of texts and of lists of texts.
func (s *Settings) parseLists(name string, value any, example string) (map[string][]string, error) {
	advice := fmt.Sprintf("write lists, as in [%s] %s", name, example)
	table, ok := value.(map[string]any)
	if !ok {
		return nil, s.wrong(fmt.Sprintf("%s must be a table: [%[1]s]", name), advice)
	}
	lists := map[string][]string{}
	for _, key := range slices.Sorted(maps.Keys(table)) {
		list, isList := table[key].([]any)
		if !isList {
			list = []any{table[key]}
		}
		lists[key] = []string{}
		for _, each := range list {
			text, _ := each.(string)
			if strings.TrimSpace(text) == "" {
				return nil, s.wrong(fmt.Sprintf("%s.%s must be text or a list of texts", name, key), advice)
			}
			lists[key] = append(lists[key], text)
		}
	}
	return lists, nil
}

// parseHeadings reads the table [columns].
func (s *Settings) parseHeadings(value any) error {
	own, err := s.parseLists("columns", value, `variety = ["Cultivar"]`)
	if err != nil {
		return err
	}
	s.Headings, err = manifest.NewHeadings(own)
	var problem *records.Problem
	if errors.As(err, &problem) {
		return s.wrong("columns: "+problem.Text, problem.Advice)
	}
	return err
}

// parseNames reads the table [names].
func (s *Settings) parseNames(value any) error {
	lists, err := s.parseLists("names", value, `cultivars = ["Rosa Mundula"]`)
	if err != nil {
		return err
	}
	s.Names = records.Names{Botanical: lists["botanical"], Cultivars: lists["cultivars"]}
	for kind := range lists {
		if kind != "botanical" && kind != "cultivars" {
			return s.wrong(fmt.Sprintf("there is no setting %q", "names."+kind), "list names under names.botanical or names.cultivars")
		}
	}
	for _, name := range s.Names.Cultivars {
		if slices.ContainsFunc(s.Names.Botanical, func(other string) bool { return records.Key(other) == records.Key(name) }) {
			return s.wrong(fmt.Sprintf("%q is in names.botanical and in names.cultivars", name), "delete it from one of the two")
		}
	}
	return nil
}
