package command

import (
	"errors"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"graftslip/labels"
	"graftslip/records"
)

// Name is a flag's value: a name for slips, in Unicode normalisation form C.
type Name string

// Set reads a name.
func (n *Name) Set(text string) error {
	const longest = 60
	name := norm.NFC.String(strings.Join(strings.Fields(text), " "))
	if strings.ContainsFunc(name, unicode.IsControl) || len([]rune(name)) > longest {
		return errors.New("a name has at most 60 letters")
	}
	*n = Name(name)
	return nil
}

func (n *Name) String() string { return string(*n) }

// Type names the value in the help.
func (n *Name) Type() string { return "NAME" }

// CardSymbol is a flag's value: what the symbol of a tray card says.
type CardSymbol struct{ labels.CardSymbol }

// Set reads the name of what it says.
func (c *CardSymbol) Set(name string) (err error) {
	c.CardSymbol, err = labels.ParseCardSymbol(name)
	return err
}

// Type names the value in the help.
func (c *CardSymbol) Type() string { return "code|record|link" }

// Link is a flag's value: the address that codes are put behind.
type Link string

// Set reads an address.
func (l *Link) Set(address string) error {
	link, err := labels.ParseLink(address)
	*l = Link(link)
	return err
}

func (l *Link) String() string { return string(*l) }

// Type names the value in the help.
func (l *Link) Type() string { return "ADDRESS" }

// DateForm is a flag's value: how dates are written.
type DateForm struct{ records.DateForm }

// Set reads the name of a form.
func (d *DateForm) Set(name string) (err error) {
	d.DateForm, err = records.ParseDateForm(name)
	return err
}

// Type names the value in the help.
func (d *DateForm) Type() string { return "day|week|ordinal" }
