package evidence

import (
	"fmt"
	"midcase/typed"
	"strings"
)

// Problem is one thing wrong with a field: what was found and what would be right.
type Problem struct {
	Field string `json:"field"`
	Found string `json:"found"`
	Want  string `json:"want"`
}

// String says the problem in one line.
func (p Problem) String() string {
	return p.Field + ": " + typed.Refusal(p.Found, p.Want)
}

// Problems is everything wrong with one item; as an error it lists all of it.
type Problems []Problem

// Error implements error.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, q := range p {
		lines[i] = q.String()
	}
	return strings.Join(lines, "; ")
}

// Err returns the problems as an error, or nil if there are none.
func (p Problems) Err() error {
	if len(p) == 0 {
		return nil
	}
	return p
}

func (p *Problems) add(field, found, want string) { *p = append(*p, Problem{field, found, want}) }

func (p *Problems) need(field, value, want string) {
	if strings.TrimSpace(value) == "" {
		p.add(field, "nothing", want)
	}
}

func (p *Problems) within(field string, v, low, high float64, unit string) {
	if !(v >= low && v <= high) { // also catches NaN
		p.add(field, fmt.Sprintf("%g", v), strings.TrimSpace(fmt.Sprintf("a figure between %g and %g %s", low, high,
			unit)))
	}
}

func oneOf[T ~string](p *Problems, field string, v T, allowed []T) {
	for _, a := range allowed {
		if v == a {
			return
		}
	}
	found := fmt.Sprintf("%q", string(v))
	if v == "" {
		found = "nothing"
	}
	p.add(field, found, "one of "+list(allowed))
}

func list[T ~string](all []T) string {
	out := make([]string, len(all))
	for i, a := range all {
		out[i] = string(a)
	}
	return strings.Join(out, ", ")
}
