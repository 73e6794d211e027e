package form

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"midcase/evidence"
	"midcase/say"
)

func quoted(text string) string { return "“" + text + "”" }

// isNot says that what was typed is not what the field asks for.
func (f *Field) isNot(what string) string {
	return quoted(f.Value) + " is not " + what + ". " + f.enter()
}

// enter says what to do.
func (f *Field) enter() string {
	verb := "Enter "
	switch f.Kind {
	case Choice, Radio, Upload:
		verb = "Choose "
	case Picked, Disc:
		return "Mark " + f.points() + " in the picture."
	}
	switch {
	case f.want != "":
		return verb + f.want + "."
	case f.example != "" && !f.percent() && (f.Value != "" || f.Label == ""):
		return verb + f.locale.sample(f.example) + "."
	case f.Kind == Figure && f.example == "":
		return verb + f.figure() + "."
	case f.percent():
		return verb + "a percentage from " + f.span(0, 100) + ", for example 15."
	}
	return verb + "the " + lower(f.Label) + "."
}

// figure says which numbers will do.
func (f *Field) figure() string {
	what := "a number"
	if f.percent() {
		what = "a percentage"
	} else if f.Unit != "" {
		what += " in " + f.Unit
	}
	if f.low == nil && f.high == nil {
		return what + ", for example " + f.locale.local("36.4")
	}
	return what + " from " + f.span(0, 0)
}

func (f *Field) span(low, high float64) string {
	if f.low != nil {
		low = *f.low
	}
	if f.high == nil && high == 0 {
		return f.locale.local(number(low)) + " up"
	}
	if f.high != nil {
		high = *f.high
	}
	return f.locale.local(number(low)) + " to " + f.locale.local(number(high))
}

func (f *Field) points() string {
	if f.want != "" {
		return f.want
	}
	low := 1
	if f.low != nil {
		low = int(*f.low)
	}
	switch {
	case f.high != nil && int(*f.high) == low && low == 1:
		return "one point"
	case f.high != nil && int(*f.high) == low:
		return fmt.Sprintf("%d points", low)
	}
	return fmt.Sprintf("%d points or more", low)
}

func (r *Reader) sample(example string) string {
	return strings.Replace(example, "0.9512", r.local("0.9512"), 1)
}

func lower(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if next, _ := utf8.DecodeRuneInString(s[n:]); unicode.IsUpper(next) {
		return s // an abbreviation
	}
	return string(unicode.ToLower(first)) + s[n:]
}

// Says is a problem found by the shop as one speaks.
func Says(p evidence.Problem) string {
	if p.Found == "" || p.Found == "nothing" || p.Found == `""` {
		return "Enter " + p.Want + "."
	}
	if text, err := strconv.Unquote(p.Found); err == nil {
		return quoted(text) + " will not do. Enter " + p.Want + "."
	}
	if !strings.Contains(p.Found, " ") {
		return p.Found + " will not do. Enter " + p.Want + "."
	}
	return say.Capital(p.Found) + ". Needed: " + p.Want + "."
}
