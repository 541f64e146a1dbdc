package command

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"graftslip/records"
)

// LoadNames reads the settled names of the settings file; see LoadSettings.
func LoadNames() (records.Names, error) {
	settings, err := LoadSettings()
	if err != nil {
		return records.Names{}, err
	}
	return settings.Names(), nil
}

// Names returns the names that the settings settle.
func (s *Settings) Names() records.Names { return s.names }

// parseNames reads the table [names].
func (s *Settings) parseNames(value any) error {
	const advice = `write them as in cultivars = ["Rosa Mundula"], under [names]`
	table, ok := value.(map[string]any)
	if !ok {
		return s.wrong("names must be a table: [names]", advice)
	}
	lists := map[string]*[]string{"botanical": &s.names.Botanical, "cultivars": &s.names.Cultivars}
	for _, key := range slices.Sorted(maps.Keys(table)) {
		list, known := lists[key]
		if !known {
			return s.wrong(fmt.Sprintf("there is no setting %q", "names."+key), "list names under names.botanical or names.cultivars")
		}
		values, ok := table[key].([]any)
		if !ok {
			return s.wrong("names."+key+" must be a list of names", advice)
		}
		for _, value := range values {
			name, ok := value.(string)
			if !ok || strings.TrimSpace(name) == "" {
				return s.wrong("names."+key+" must be a list of names", advice)
			}
			*list = append(*list, name)
		}
	}
	for _, name := range s.names.Botanical {
		for _, other := range s.names.Cultivars {
			if records.Key(name) == records.Key(other) {
				return s.wrong(fmt.Sprintf("%q is in names.botanical and in names.cultivars", other), "delete it from one of the two")
			}
		}
	}
	return nil
}
