package objects

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

const text = "" +
	"| command | prints |\n|---|---|\n" +
	"| `trays list` | [tray](#tray) or [fault](#fault) |\n\n" +
	"## tray\nfield | type, unit | when | meaning\n-|-|-|-\n" +
	"`code` | text\n" +
	"`on` | date | where known\n" +
	"`stems` | list of [stem](#stem) | | all of them\n\n" +
	"## stem\nfield | type, unit | when | meaning\n-|-|-|-\n" +
	"`thick` | number, mm\n\n" +
	"## fault\nAll of [stem](#stem), and:\n\nfield | type, unit | when | meaning\n-|-|-|-\n" +
	"`place` | integer\n"

func TestHold(t *testing.T) {
	for _, test := range []struct{ reason, printed, fault string }{
		{"an object as it stands there", `{"code":"a","on":"2026-11-25","stems":[{"thick":2.5}]}`, ""},
		{"one without what need not be there", `{"code":"a","stems":[]}`, ""},
		{"another of the command", `{"thick":2,"place":3}`, ""},
		{"two lines", "{\"code\":\"a\",\"stems\":[]}\n{\"code\":\"b\",\"stems\":[]}", ""},
		{"a field that was added", `{"code":"a","stems":[],"more":1}`, `tray has a field "more" that JSON.md does not name`},
		{"a field that was removed", `{"code":"a"}`, `tray has no field "stems"`},
		{"another type", `{"code":7,"stems":[]}`, `tray.code: 7 is not of the type text`},
		{"a date of another form", `{"code":"a","on":"25 November","stems":[]}`, `tray.on: 25 November is not of the type date`},
		{"a list that is none", `{"code":"a","stems":3}`, `tray.stems: 3 is no list`},
		{"a part of another type", `{"code":"a","stems":[{"thick":"2"}]}`, `tray.stems: stem.thick: 2 is not of the type number`},
		{"a fraction for an integer", `{"thick":2,"place":3.5}`, `fault.place: 3.5 is not of the type integer`},
	} {
		t.Run(test.reason, func(t *testing.T) {
			folder := t.TempDir()
			require.NoError(t, os.WriteFile(filepath.Join(folder, "1"), []byte("list --json\n"+test.printed), 0o600))
			_, err := parse(text).holdFolder("trays", folder)
			if test.fault == "" {
				require.NoError(t, err)
			} else {
				require.ErrorContains(t, err, test.fault)
			}
		})
	}
	m := parse(text)
	require.Equal(t, []string{"fault.place", "stem.thick", "tray.code", "tray.on", "tray.stems"}, m.fields("trays"))
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "1"), []byte("list --json\n"+`{"code":"a","stems":[{"thick":1}]}`), 0o600))
	seen, err := m.holdFolder("trays", folder)
	require.NoError(t, err)
	require.Equal(t, map[string]bool{"tray.code": true, "tray.stems": true, "stem.thick": true}, seen)
}
