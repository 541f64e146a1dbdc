package labels

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"graftslip/codes"
	"graftslip/codes/symbol"
	"graftslip/records"
)

// CardSymbol is what the symbol of a tray card says.
type CardSymbol uint8

// What it may say.
const (
	CardCode   CardSymbol = iota // the code of the tray
	CardRecord                   // the record of the tray, as records.Line writes it
	CardLink                     // an address that ends in the code
)

// CardSymbols lists what the symbol of a card may say, in the order in which it
// is offered.
func CardSymbols() []CardSymbol { return []CardSymbol{CardCode, CardRecord, CardLink} }

// String returns "code", "record" or "link".
func (c CardSymbol) String() string { return [...]string{"code", "record", "link"}[c] }

// ParseCardSymbol reads what String writes, in any case. The error is an
// *Error.
func ParseCardSymbol(s string) (CardSymbol, error) {
	for _, says := range CardSymbols() {
		if strings.EqualFold(strings.TrimSpace(s), says.String()) {
			return says, nil
		}
	}
	return 0, &Error{
		Err:    fmt.Errorf("%q is not a valid symbol for cards", s),
		Advice: "use code (the code alone), record (the whole record) or link (the address of the phone page)",
	}
}

// explained adds to an error of a card's design what would do instead.
func explained(err error, batch records.Batch, o Options) error {
	if o.CardSymbol == CardCode {
		return err
	}
	other := o
	other.CardSymbol = CardCode
	if _, codeErr := designTray(batch, other); codeErr != nil {
		return err
	}
	advice := "use --card-symbol code, which needs less room than " + o.CardSymbol.String()
	if !slices.Contains(o.Symbols, symbol.QR) {
		other = o
		other.Symbols = []symbol.Kind{symbol.QR}
		if _, qrErr := designTray(batch, other); qrErr == nil {
			advice = "use --symbol qr or --card-symbol code"
		}
	}
	var fault *Error
	if errors.As(err, &fault) {
		explained := *fault
		explained.Advice = advice
		return &explained
	}
	return err
}

// checkSymbolText finds what the symbol of no card can say.
func checkSymbolText(batch records.Batch, o Options) error {
	switch o.CardSymbol {
	case CardRecord:
		// The line is for a reader that takes it from nowhere else.
		if _, err := records.ParseLine(records.Line(records.Record{Batch: batch, Code: batch.Code})); err != nil {
			return &Error{Where: Where{batch.Row, labelColumn}, Err: fmt.Errorf("the record cannot be read back from a card: %v", err)}
		}
	case CardLink:
		if _, err := ParseLink(o.Link); err != nil {
			return &Error{Where: Where{Column: labelColumn}, Err: err}
		}
	}
	return nil
}

// says is the text of the symbol on the card of one tray.
func (d *TrayCards) says(code codes.Code) string {
	switch d.options.CardSymbol {
	case CardRecord:
		return records.Line(records.Record{Batch: d.batch, Code: code})
	case CardLink:
		return d.options.Link + "/" + code.Compact()
	}
	return code.Compact()
}

// largestSymbols makes, for each kind of symbol, the largest one that a text
// needs. A kind that cannot hold a text is left out as long as another can.
func largestSymbols(kinds []symbol.Kind, texts []string) (candidates []symbol.Modules, missed error) {
	for _, kind := range kinds {
		if modules, err := largestSymbol(kind, texts); err == nil {
			candidates = append(candidates, modules)
		} else {
			missed = cmp.Or(missed, err)
		}
	}
	if len(candidates) > 0 {
		return candidates, nil
	}
	return nil, missed
}

// symbolShapes are texts of symbols, one for all that differ in the value of
// digits alone: they need as many modules.
func (d *TrayCards) symbolShapes(trays []codes.Code) []string {
	byShape := map[string]string{}
	for _, code := range slices.Backward(trays) { // the first of a shape stays
		text := d.says(code)
		byShape[strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return '0'
			}
			return r
		}, text)] = text
	}
	return slices.Sorted(maps.Values(byShape))
}

// largestSymbol makes the symbol that needs most modules. All texts of a batch
// are in one mode of QR, in which the longest needs most.
func largestSymbol(kind symbol.Kind, texts []string) (symbol.Modules, error) {
	if kind == symbol.QR {
		texts = []string{slices.MaxFunc(texts, func(a, b string) int { return cmp.Compare(len(a), len(b)) })}
	}
	var largest symbol.Modules
	for _, text := range texts {
		modules, err := symbol.Encode(kind, text)
		if err != nil {
			return symbol.Modules{}, err
		}
		if modules.Width() > largest.Width() {
			largest = modules
		}
	}
	return largest, nil
}

// LongestLink is the length of the longest address on a card, in characters.
const LongestLink = 200

// linkCharacters are those of the alphanumeric mode of QR (ISO/IEC 18004), but
// for the space.
const linkCharacters = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ$%*+-./:"

// ParseLink reads the address of the phone page, http or https with a host and,
// if wanted, a port and a path, and returns it in capitals without a bar at the
// end. In capitals QR packs three characters in the room of two; schemes and
// hosts do not tell capitals apart (RFC 3986, 6.2.2.1; memory), nor does the
// phone page. The error is an *Error.
func ParseLink(s string) (string, error) {
	link, err := parseLink(strings.TrimSpace(s))
	if err != nil {
		return "", &Error{Err: fmt.Errorf("%q is not a valid address for cards: %v", s, err),
			Advice: "give the address at which other devices reach the phone page, such as http://192.168.1.20:8080"}
	}
	return link, nil
}

func parseLink(text string) (string, error) {
	if len(text) > LongestLink {
		return "", fmt.Errorf("it is longer than %d characters", LongestLink)
	}
	for _, r := range text {
		// Letters first: some others become one of them as a capital.
		if !('a' <= r && r <= 'z') && !strings.ContainsRune(linkCharacters, r) {
			return "", fmt.Errorf("the character %q is not allowed, only letters A to Z, digits and $%%*+-./: are", r)
		}
	}
	address, err := url.Parse(text)
	switch {
	case err != nil:
		return "", errors.New("it is not a web address")
	case address.Scheme != "http" && address.Scheme != "https":
		return "", errors.New("it does not begin with http:// or https://")
	case address.Hostname() == "":
		return "", errors.New("it has no host name")
	}
	if _, port, named := strings.Cut(address.Host, ":"); named {
		if number, err := strconv.ParseUint(port, 10, 16); err != nil || number == 0 {
			return "", errors.New("its port is not a number from 1 to 65535")
		}
	}
	return strings.ToUpper(strings.TrimRight(text, "/")), nil
}
