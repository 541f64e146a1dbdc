package codes_test

import (
	"testing"

	"graftslip/codes"
)

func TestParseBatch(t *testing.T) {
	for _, row := range []struct {
		reason, text, want string
		err                error
	}{
		{"as printed", "26329-004", "26329-004-0000-17", nil},
		{"typed on a pad", "26329004", "26329-004-0000-17", nil},
		{"with a dash and spaces", " 26329 – 004 ", "26329-004-0000-17", nil},
		{"the last day of a leap year", "24366-999", "24366-999-0000-27", nil},
		{"no leap year", "23366-001", "", codes.ErrDate},
		{"day nought", "26000-001", "", codes.ErrDate},
		{"batch nought", "26329-000", "", codes.ErrUnit},
		{"a digit missing", "26329-04", "", codes.ErrLength},
		{"a whole code", "26329-004-0017-63", "", codes.ErrShape},
		{"a digit too many", "26329-0045", "", codes.ErrLength},
		{"nothing", "  ", "", codes.ErrShape},
		{"a word", "26329-004 stems", "", codes.ErrShape},
		{"grouped like two numbers of stems", "1001-1034", "", codes.ErrShape},
		{"a hyphen at the end", "26329-004-", "", codes.ErrShape},
		{"digits of another script", "٢٦٣٢٩٠٠٤", "", codes.ErrShape},
	} {
		t.Run(row.reason, func(t *testing.T) {
			code, err := codes.ParseBatch(row.text)
			if err != row.err || code.String() != row.want {
				t.Errorf("ParseBatch(%q) = %q, %v; want %q, %v", row.text, code, err, row.want, row.err)
			}
		})
	}
}

func TestBatchName(t *testing.T) {
	code, err := codes.Parse("26329-004-0017-63")
	if got := code.BatchName(); err != nil || got != "26329-004" {
		t.Errorf("BatchName of %v is %q, %v", code, got, err)
	}
	if got := (codes.Code{}).BatchName(); got != "" {
		t.Errorf("BatchName of no code is %q", got)
	}
}

func FuzzParseBatch(f *testing.F) {
	for _, text := range []string{"26329-004", "26329004", "24366999", "23366-001", "26329-000", "", "x", "‐‑–"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		code, err := codes.ParseBatch(text)
		if err != nil {
			return
		}
		again, err := codes.ParseBatch(code.BatchName())
		if err != nil || again != code || code.Kind() != codes.Batch {
			t.Errorf("ParseBatch(%q) = %v, which begins with another batch: %v, %v", text, code, again, err)
		}
	})
}
