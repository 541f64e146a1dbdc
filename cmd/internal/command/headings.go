package command

import (
	"errors"
	"fmt"

	"graftslip/records"
	"graftslip/records/manifest"
)

// Headings returns the headings of the settings for columns of spreadsheets.
func (s *Settings) Headings() manifest.Headings { return s.headings }

// parseHeadings reads the table [columns]: for each column a heading or a list of
// them.
func (s *Settings) parseHeadings(value any) error {
	const advice = `write a list of your headings for each column, as in [columns] variety = ["Cultivar"]`
	table, ok := value.(map[string]any)
	if !ok {
		return s.wrong("columns must be a table: [columns]", advice)
	}
	own := map[string][]string{}
	for column, value := range table {
		list, isList := value.([]any)
		if !isList {
			list = []any{value}
		}
		for _, each := range list {
			heading, isText := each.(string)
			if !isText {
				return s.wrong(fmt.Sprintf("columns.%s must be text or a list of texts", column), advice)
			}
			own[column] = append(own[column], heading)
		}
	}
	var err error
	s.headings, err = manifest.NewHeadings(own)
	var problem *records.Problem
	if errors.As(err, &problem) {
		return s.wrong("columns: "+problem.Text, problem.Advice)
	}
	return err
}
