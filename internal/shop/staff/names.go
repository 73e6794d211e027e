package staff

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/secure/precis"

	"midcase/evidence"
	"midcase/internal/shop"
)

const longestName = 80

// normal is the form in which names are compared: two that look alike but for blanks, case or the width
// of letters are one name (RFC 8266, the nickname profile of PRECIS).
func normal(name string) string {
	if key, err := precis.Nickname.CompareKey(name); err == nil {
		return key
	}
	return strings.ToLower(strings.Join(strings.Fields(name), " "))
}

// properName is a name as it is kept and shown.
func properName(name string) (string, error) {
	out, err := precis.Nickname.String(name)
	if err != nil || utf8.RuneCountInString(out) > longestName {
		return "", &shop.Invalid{What: "person", Problems: evidence.Problems{{Field: "name",
			Found: fmt.Sprintf("%.100q", name), Want: fmt.Sprintf("a name of 1 to %d characters", longestName)}}}
	}
	return out, nil
}

func at(people []Person, name string) int {
	key := normal(name)
	return slices.IndexFunc(people, func(p Person) bool { return key != "" && normal(p.Name) == key })
}
