package labels

import (
	"errors"
	"fmt"
	"net/url"
	"strconv"
	"strings"
)

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
		return "", &Error{Err: fmt.Errorf("%q is no address for cards: %v", s, err),
			Advice: "write the address of the phone page as other devices reach it, like http://192.168.1.20:8080"}
	}
	return link, nil
}

func parseLink(text string) (string, error) {
	if len(text) > LongestLink {
		return "", fmt.Errorf("it has more than %d characters", LongestLink)
	}
	for _, r := range text {
		// Letters first: some others become one of them as a capital.
		if !('a' <= r && r <= 'z') && !strings.ContainsRune(linkCharacters, r) {
			return "", fmt.Errorf("it has the character %q, and may have letters A to Z, digits and $%%*+-./: only", r)
		}
	}
	address, err := url.Parse(text)
	switch {
	case err != nil:
		return "", errors.New("it cannot be read")
	case address.Scheme != "http" && address.Scheme != "https":
		return "", errors.New("it does not begin with http:// or https://")
	case address.Hostname() == "":
		return "", errors.New("it names no host")
	}
	if _, port, named := strings.Cut(address.Host, ":"); named {
		if number, err := strconv.ParseUint(port, 10, 16); err != nil || number == 0 {
			return "", errors.New("it has a port that is none")
		}
	}
	return strings.ToUpper(strings.TrimRight(text, "/")), nil
}
