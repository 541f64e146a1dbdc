// Package objects holds what a program prints with --json against the tables of its
// JSON.md: no field more, none less, each of the type that stands there.
package objects

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// variable names the folder in which Tee keeps what is printed.
const variable = "OBJECTS"

// Watch returns the setting of the environment with which programs keep what they
// print. When the tests below t are over, it is held against the manual; where
// all of them ran, each field that stands there for the program must have been seen.
func Watch(t *testing.T, program, manual string) (name, folder string) {
	t.Helper()
	text, err := os.ReadFile(manual)
	if err != nil {
		t.Fatal(err)
	}
	m := parse(string(text))
	folder = t.TempDir()
	t.Cleanup(func() {
		seen, err := m.holdFolder(program, folder)
		if err != nil {
			t.Error(err)
		}
		if some := strings.Contains(flag.Lookup("test.run").Value.String(), "/"); some || t.Failed() {
			return
		}
		for _, field := range m.fields(program) {
			if !seen[field] {
				t.Errorf("no script prints the field %s of %s", field, manual)
			}
		}
	})
	return variable, folder
}

// Tee returns out, and keeps what is written where the arguments ask for JSON.
func Tee(out io.Writer, args []string) io.Writer {
	folder := os.Getenv(variable)
	if folder == "" || !slices.Contains(args, "--json") {
		return out
	}
	file, err := os.CreateTemp(folder, "")
	if err != nil {
		panic(err)
	}
	fmt.Fprintln(file, strings.Join(args, " "))
	return io.MultiWriter(out, file)
}

// manual is what JSON.md says.
type manual struct {
	commands map[string][]string // the objects of "slipread due" and the like
	objects  map[string][]field
}

type field struct {
	object, name, kind string   // the object that has it first
	objects            []string // of which it is one, or a list of them
	always             bool
}

func (f field) String() string { return f.object + "." + f.name }

var (
	quoted = regexp.MustCompile("^`([^`]+)`$")
	linked = regexp.MustCompile(`\]\(#([a-z-]+)\)`)
)

func parse(text string) manual {
	m := manual{map[string][]string{}, map[string][]field{}}
	object := ""
	for line := range strings.Lines(text) {
		if name, is := strings.CutPrefix(line, "## "); is {
			object = strings.TrimSpace(name)
		}
		if whole, is := strings.CutPrefix(line, "All of "); is {
			m.objects[object] = append(m.objects[object], m.objects[links(whole)[0]]...)
		}
		cells := strings.Split(strings.Trim(line, "| \n")+"||", "|")
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		name := quoted.FindStringSubmatch(cells[0])
		switch {
		case name == nil:
		case object == "":
			m.commands[name[1]] = links(cells[1])
		default:
			kind, _, _ := strings.Cut(cells[1], ",")
			m.objects[object] = append(m.objects[object], field{object, name[1], kind, links(cells[1]), cells[2] == ""})
		}
	}
	return m
}

// links are the objects that a text links to.
func links(text string) []string {
	var all []string
	for _, link := range linked.FindAllStringSubmatch(text, -1) {
		all = append(all, link[1])
	}
	return all
}

// fields are those of a program, named by the object that has them first.
func (m manual) fields(program string) []string {
	all := map[string]bool{}
	var add func(objects []string)
	add = func(objects []string) {
		for _, object := range objects {
			for _, f := range m.objects[object] {
				if !all[f.String()] {
					all[f.String()] = true
					add(f.objects)
				}
			}
		}
	}
	for command, objects := range m.commands {
		if strings.HasPrefix(command, program+" ") {
			add(objects)
		}
	}
	return slices.Sorted(maps.Keys(all))
}

// holdFolder holds what Tee kept against the manual, and returns the fields seen.
func (m manual) holdFolder(program, folder string) (map[string]bool, error) {
	files, err := filepath.Glob(filepath.Join(folder, "*"))
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	var faults []error
	for _, file := range files {
		content, err := os.ReadFile(file)
		if err != nil {
			return nil, err
		}
		args, printed, _ := strings.Cut(string(content), "\n")
		word, _, _ := strings.Cut(args, " ")
		objects, is := m.commands[program+" "+word]
		if !is {
			objects = m.commands[program+" CODE"]
		}
		in := json.NewDecoder(strings.NewReader(printed))
		in.UseNumber()
		for {
			var value any
			if err := in.Decode(&value); err == io.EOF {
				break
			} else if err != nil {
				return nil, fmt.Errorf("%s %s: %w", program, args, err)
			}
			if err := m.hold(objects, value, seen); err != nil {
				faults = append(faults, fmt.Errorf("%s %s: %w", program, args, err))
			}
		}
	}
	return seen, errors.Join(faults...)
}

// hold holds a value against those objects of which it must be one.
func (m manual) hold(objects []string, value any, seen map[string]bool) error {
	var faults []error
	for _, object := range objects {
		here := map[string]bool{}
		err := m.holdObject(object, value, here)
		if err == nil {
			maps.Copy(seen, here)
			return nil
		}
		faults = append(faults, err)
	}
	if faults == nil {
		return errors.New("JSON.md has no object for it")
	}
	return errors.Join(faults...)
}

func (m manual) holdObject(object string, value any, seen map[string]bool) error {
	values, is := value.(map[string]any)
	if !is {
		return fmt.Errorf("%v is no object", value)
	}
	known := map[string]bool{}
	for _, f := range m.objects[object] {
		known[f.name] = true
		value, is := values[f.name]
		switch {
		case !is && f.always:
			return fmt.Errorf("%s has no field %q", object, f.name)
		case !is:
			continue
		}
		if err := m.holdField(f, value, seen); err != nil {
			return fmt.Errorf("%v: %w", f, err)
		}
		seen[f.String()] = true
	}
	for name := range values {
		if !known[name] {
			return fmt.Errorf("%s has a field %q that JSON.md does not name", object, name)
		}
	}
	return nil
}

func (m manual) holdField(f field, value any, seen map[string]bool) error {
	list := strings.HasPrefix(f.kind, "list of ")
	values := []any{value}
	if list {
		var is bool
		if values, is = value.([]any); !is {
			return fmt.Errorf("%v is no list", value)
		}
	}
	for _, value := range values {
		if f.objects != nil {
			if err := m.hold(f.objects, value, seen); err != nil {
				return err
			}
		} else if kind := strings.TrimPrefix(f.kind, "list of "); !is(kind, value) {
			return fmt.Errorf("%v is not of the type %s", value, kind)
		}
	}
	return nil
}

var (
	whole = regexp.MustCompile(`^-?\d+$`)
	day   = regexp.MustCompile(`^\d{4}-\d\d-\d\d$`)
	clock = regexp.MustCompile(`^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(Z|[+-]\d\d:\d\d)$`)
)

// is reports whether a value is of a type by its name in the manual.
func is(kind string, value any) bool {
	text, isText := value.(string)
	number, isNumber := value.(json.Number)
	switch kind {
	case "text":
		return isText
	case "date":
		return isText && day.MatchString(text)
	case "time":
		return isText && clock.MatchString(text)
	case "integer":
		return isNumber && whole.MatchString(number.String())
	case "number":
		return isNumber
	case "boolean":
		_, isBoolean := value.(bool)
		return isBoolean
	case "point": // x and y
		values, isList := value.([]any)
		return isList && len(values) == 2 && is("number", values[0]) && is("number", values[1])
	}
	return false
}
