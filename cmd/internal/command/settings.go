package command

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/spf13/pflag"

	"graftslip/records"
	"graftslip/records/manifest"
)

// SettingsVariable names another settings file in the environment.
const SettingsVariable = "GRAFTSLIP_SETTINGS"

// Settings are values of flags that a person keeps in a file. A value from the
// environment comes before that of the file, one on the command line before
// both.
type Settings struct {
	Path     string            // of the file
	Missing  bool              // there is no such file, which is no fault
	values   map[string]string // by the names that stand in the file
	printers map[string]map[string]string
	Calendar records.Calendar  // days that are not set are zero
	Headings manifest.Headings // of columns in spreadsheets
	Names    records.Names
}

// SettingNames lists the settings: each is a flag that one of the programs has.
func SettingNames() []string {
	return []string{"nursery", "stems", "trays", "label-wrap", "stem", "clearance", "spare", "symbol", "card-symbol", "link", "date-form", "dates", "encoding", "font", "dpi", "printer", "shift", "scale", "ledger", "cautions", "by", "bed-spaces", "tray-size"}
}

// printerNames lists what can be kept of each printer.
func printerNames() []string { return []string{"shift", "scale", "dpi"} }

// Variable returns the name of a setting in the environment.
func Variable(setting string) string {
	return "GRAFTSLIP_" + strings.ToUpper(strings.ReplaceAll(setting, "-", "_"))
}

// variable returns the variable of the environment that gives a setting, under its name or
// an old one, "" for none.
func variable(setting string) string {
	for _, key := range settingKeys(setting) {
		if os.Getenv(Variable(key)) != "" {
			return Variable(key)
		}
	}
	return ""
}

// value returns what the file gives a setting, and under which name. It reports false
// when it gives nothing.
func (s *Settings) value(setting string) (key, value string, kept bool) {
	for _, key := range settingKeys(setting) {
		if value, kept := s.values[key]; kept {
			return key, value, true
		}
	}
	return "", "", false
}

// wrong reports what is wrong with the settings file, and what to do.
func (s *Settings) wrong(problem, advice string) error {
	return &records.Problem{Text: "settings " + s.Path + ": " + problem, Advice: advice}
}

// settingsPath is the settings file: the one that the environment names, else
// graftslip/settings.toml in the user's folder for settings.
func settingsPath() (string, error) {
	if named := os.Getenv(SettingsVariable); named != "" {
		return named, nil
	}
	folder, err := os.UserConfigDir()
	return filepath.Join(folder, "graftslip", "settings.toml"), err
}

// LoadSettings reads the settings file; one that the environment names must be
// there. The error is a *records.Problem.
func LoadSettings() (*Settings, error) {
	path, err := settingsPath()
	if err != nil {
		return &Settings{Missing: true}, nil // a system without such a folder has no settings
	}
	s := &Settings{Path: path}
	text, err := readSmall(s.Path, 64<<10, "")
	if errors.Is(err, fs.ErrNotExist) && os.Getenv(SettingsVariable) == "" {
		s.Missing = true
		return s, nil
	}
	if err != nil {
		return nil, s.wrong("cannot be read: "+cause(err).Error(), "correct it, or name another file with "+SettingsVariable)
	}
	return s, s.parse(text)
}

// readSmall reads a file of at most so many bytes. The advice is on a larger one.
func readSmall(path string, most int64, advice string) (string, error) {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = &HintedError{errors.New("it is not a file"), "rename it"} // reading a pipe would block
	}
	if err == nil && info.Size() > most {
		err = &HintedError{fmt.Errorf("it is larger than %d KB", most>>10), advice}
	}
	var text []byte
	if err == nil {
		text, err = os.ReadFile(path)
	}
	return string(text), err
}

// decode reads a TOML file. Its errors have the line, and not the parser's own name.
func decode(text string, value any) (toml.MetaData, error) {
	const most = 1000 // the parser's time and memory grow with the square of a key's parts and of nested tables
	if strings.Count(text, ".")+strings.Count(text, "{") > most {
		return toml.MetaData{}, fmt.Errorf("it has more than %d full stops and braces, far more than such a file needs", most)
	}
	known, err := toml.Decode(text, value)
	var syntax toml.ParseError
	switch {
	case errors.As(err, &syntax):
		err = fmt.Errorf("line %d: %s", syntax.Position.Line, syntax.Message)
	case err != nil:
		err = errors.New(strings.TrimPrefix(err.Error(), "toml: "))
	}
	return known, err
}

func (s *Settings) parse(text string) error {
	var file map[string]any
	if _, err := decode(text, &file); err != nil {
		return s.wrong(err.Error(), `write a setting as in dpi = 300 or nursery = "Hazel Dial Grafts"`)
	}
	for _, table := range []struct {
		name  string
		parse func(any) error
	}{{"days", s.parseDays}, {"columns", s.parseHeadings}, {"names", s.parseNames}} {
		if value, has := file[table.name]; has {
			if err := table.parse(value); err != nil {
				return err
			}
			delete(file, table.name)
		}
	}
	printers, hasPrinters := file["printers"]
	delete(file, "printers")
	var err error
	if s.values, err = s.known("", file, SettingNames()); err != nil || !hasPrinters {
		return err
	}
	tables, ok := printers.(map[string]any)
	if !ok {
		return s.wrong("printers must be tables", "give each printer a table of its own, such as [printers.office]")
	}
	s.printers = map[string]map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(tables)) {
		table, ok := tables[name].(map[string]any)
		if !ok {
			return s.wrong(fmt.Sprintf("printers.%s must be a table: [printers.%[1]s]", name), "give each printer a table of its own, such as [printers.office]")
		}
		if s.printers[name], err = s.known("printers."+name+".", table, printerNames()); err != nil {
			return err
		}
	}
	return nil
}

// known turns a table into texts as the flags read them, and refuses what no
// program reads.
func (s *Settings) known(prefix string, table map[string]any, names []string) (map[string]string, error) {
	var keys []string
	for _, name := range names {
		keys = append(keys, settingKeys(name)...)
	}
	texts := map[string]string{}
	for _, key := range slices.Sorted(maps.Keys(table)) {
		if !slices.Contains(keys, key) {
			advice := "settings are " + strings.Join(names, ", ")
			if prefix == "" {
				advice += ", and tables such as [days], [columns], [names] and [printers.office]"
			}
			return nil, s.wrong(fmt.Sprintf("there is no setting %q", prefix+key), advice)
		}
		switch value := table[key].(type) {
		case string, bool, int64, float64:
			texts[key] = fmt.Sprint(value)
		case map[string]any:
			return nil, s.wrong(fmt.Sprintf("%s cannot be a table", prefix+key), "give each printer a table of its own, such as [printers.office]")
		default:
			return nil, s.wrong(fmt.Sprintf("%s has the wrong kind of value", prefix+key), `a value is text, a number, true or false`)
		}
	}
	return texts, nil
}

// Printers lists the printers in the settings.
func (s *Settings) Printers() []string { return slices.Sorted(maps.Keys(s.printers)) }

// Printer returns the settings of a printer, by the name of the flag.
func (s *Settings) Printer(name string) map[string]string { return s.printers[name] }

// notSetting marks a flag that has the name of a setting and is none.
const notSetting = "not a setting"

// NotSetting keeps a flag from taking the value of the setting of its name.
func NotSetting(flags *pflag.FlagSet, name string) {
	flags.Lookup(name).Annotations = map[string][]string{notSetting: nil}
}

// isSetting reports whether a flag takes a setting now: it is there, was not
// named on the command line, and is not marked.
func isSetting(flag *pflag.Flag) bool {
	if flag == nil || flag.Changed {
		return false
	}
	_, marked := flag.Annotations[notSetting]
	return !marked
}

// Apply gives the flags that were not named on the command line their settings
// and returns where these came from, by the name of the flag. What a printer
// has kept comes before the file's own values. Errors name the place of the
// value that is wrong.
func (s *Settings) Apply(flags *pflag.FlagSet) (origins map[string]string, err error) {
	origins = map[string]string{}
	for _, name := range SettingNames() {
		flag := flags.Lookup(name)
		if !isSetting(flag) {
			continue
		}
		if variable := variable(name); variable != "" {
			origins[name] = variable
			if err := flag.Value.Set(os.Getenv(variable)); err != nil {
				return nil, &HintedError{fmt.Errorf("%s=%s in the environment: %w", variable, os.Getenv(variable), err), "change it, or unset it"}
			}
		} else if key, value, kept := s.value(name); kept {
			origins[name] = s.Path
			if name == "ledger" || name == "font" {
				value = s.file(value)
			}
			if err := flag.Value.Set(value); err != nil {
				return nil, s.wrong(fmt.Sprintf("%s = %s: %v", key, value, err), adviceOn(err))
			}
		}
	}
	return origins, s.applyPrinter(flags, origins)
}

func (s *Settings) applyPrinter(flags *pflag.FlagSet, origins map[string]string) error {
	flag := flags.Lookup("printer")
	if flag == nil || flag.Value.String() == "" {
		return nil
	}
	name := flag.Value.String()
	kept, known := s.printers[name]
	if !known {
		advice := fmt.Sprintf("add a table [printers.%s] with its shift, scale and dpi to %s", name, s.Path)
		if len(s.printers) > 0 {
			advice = "printers in the settings: " + strings.Join(s.Printers(), ", ")
		}
		return &HintedError{fmt.Errorf("there is no printer %q in the settings", name), advice}
	}
	for _, key := range printerNames() {
		flag, value := flags.Lookup(key), kept[key]
		if !isSetting(flag) || value == "" || origins[key] == Variable(key) {
			continue
		}
		origins[key] = fmt.Sprintf("%s, [printers.%s]", s.Path, name)
		if err := flag.Value.Set(value); err != nil {
			return s.wrong(fmt.Sprintf("printers.%s.%s = %s: %v", name, key, value, err), adviceOn(err))
		}
	}
	return nil
}

// file makes a path of one that the settings name: from the user's home behind
// "~/", else from the folder of the settings.
func (s *Settings) file(path string) string {
	if rest, ok := strings.CutPrefix(path, "~/"); ok {
		if home, err := os.UserHomeDir(); err == nil {
			return filepath.Join(home, rest)
		}
	}
	if filepath.IsAbs(path) || path == "" {
		return path
	}
	return filepath.Join(filepath.Dir(s.Path), path)
}

// adviceOn is an error's own advice, or the usual one on a wrong value.
func adviceOn(err error) string {
	var hinter interface{ Hint() string }
	if errors.As(err, &hinter) {
		return hinter.Hint()
	}
	return "change the value, or delete the line"
}
