package say

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/feature/plural"

	"midcase/estimate"
)

// Role is what a part of a text is.
type Role int

// The roles.
const (
	Words  Role = iota
	Figure      // a figure with its unit, a day, a month
	Given       // a proper name, or what somebody typed
)

// Part is a piece of a text. Arg is the argument of the statement that it came from, and
// Basis what that stands on, where it is known.
type Part struct {
	Text  string
	Role  Role
	Arg   string
	Basis []estimate.Basis
}

// Text is a statement in words, its parts apart.
type Text []Part

// String joins the parts.
func (t Text) String() string {
	var b strings.Builder
	for _, p := range t {
		b.WriteString(p.Text)
	}
	return b.String()
}

// Writer turns statements into text: words by the catalogue of a language, figures by a
// reader's locale. Between a figure and its unit it puts a space that does not break.
type Writer struct {
	Catalogue *Catalogue
	Locale    Locale
}

// String is a statement in English with plain spaces: for the terminal, CSV and JSON.
func (s Statement) String() string {
	if s.IsZero() {
		return ""
	}
	return strings.ReplaceAll(Writer{InEnglish(), Plain}.Text(s).String(), nbsp, " ")
}

// Value writes one value, in a style that its type has: an estimate as "value" or
// "range".
func (w Writer) Value(v Value, style string) string {
	t := &typing{w: w}
	t.value(v, style)
	return t.out.String()
}

// Capital is a statement as one string, with a capital letter to begin with.
func (w Writer) Capital(s Statement) string {
	t := &typing{w: w}
	t.statement(s, "capital")
	return t.out.String()
}

// Unit is a unit by itself, as a column of figures is headed.
func (w Writer) Unit(u Unit) string { return strings.TrimSpace(w.Catalogue.units[u]) }

const nbsp = "\u00a0"

// Text writes a statement.
func (w Writer) Text(s Statement) Text {
	t := &typing{w: w}
	t.statement(s, "")
	return t.out
}

// String writes a statement as one string.
func (w Writer) String(s Statement) string { return w.Text(s).String() }

// typing is the work on one text.
type typing struct {
	w     Writer
	out   Text
	arg   Arg // that is being written
	depth int
}

const maxNesting = 32 // of statements within statements

func (t *typing) put(role Role, text string) {
	if text == "" {
		return
	}
	last := len(t.out) - 1
	if role == Words && last >= 0 && t.out[last].Role == Words && len(t.out[last].Basis)+len(t.arg.Basis) == 0 {
		t.out[last].Text += text
		return
	}
	t.out = append(t.out, Part{text, role, t.arg.Name, t.arg.Basis})
}

// statement writes a statement; the style capital gives it a capital letter.
func (t *typing) statement(s Statement, style string) {
	if s.IsZero() || t.depth >= maxNesting {
		return
	}
	from, outer := len(t.out), t.arg
	joined := from > 0 && t.out[from-1].Role == Words
	before := 0
	if joined {
		before = len(t.out[from-1].Text)
	}
	t.depth++
	m, known := t.w.Catalogue.messages[s.Kind]
	if !known {
		t.put(Words, string(s.Kind))
	}
	t.message(m, s)
	t.depth--
	t.arg = outer
	if style != "capital" {
		return
	}
	switch {
	case joined && len(t.out[from-1].Text) > before:
		t.out[from-1].Text = t.out[from-1].Text[:before] + Capital(t.out[from-1].Text[before:])
	case len(t.out) > from && t.out[from].Role == Words:
		t.out[from].Text = Capital(t.out[from].Text)
	}
}

// Capital gives a text a capital letter to begin with.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || r == utf8.RuneError {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

func (t *typing) message(m message, s Statement) {
	for _, n := range m {
		if n.arg == "" {
			t.arg = Arg{}
			t.put(Words, n.text)
			continue
		}
		i := slices.IndexFunc(s.Args, func(a Arg) bool { return a.Name == n.arg })
		switch {
		case i < 0:
			t.put(Words, "{"+n.arg+"}")
		case n.choose != "":
			t.message(t.w.Catalogue.choose(n, s.Args[i].Value), s)
		default:
			t.arg = s.Args[i]
			t.value(s.Args[i].Value, n.style)
		}
	}
}

// choose is the branch of a choice that a value takes.
func (c *Catalogue) choose(n node, v Value) message {
	key := "other"
	switch n.choose {
	case "plural":
		if k, ok := v.(Number); ok {
			if b, there := n.branches["="+strconv.Itoa(int(k))]; there { // it may be empty
				return b
			}
		}
		key = c.number(v)
	case "gender":
		if word, ok := v.(Noun); ok {
			key = c.nouns[word.Set][word.ID].gender
		}
	case "select":
		switch v := v.(type) {
		case Noun:
			key = v.ID
		case Proper:
			key = string(v)
		}
	}
	if b, ok := n.branches[key]; ok {
		return b
	}
	return n.branches["other"]
}

var pluralNames = map[plural.Form]string{plural.Other: "other", plural.Zero: "zero", plural.One: "one",
	plural.Two: "two", plural.Few: "few", plural.Many: "many"}

// number is the plural form that a value asks for: a count by its figure, a list by its
// length, a noun by its nature.
func (c *Catalogue) number(v Value) string {
	n := 1
	switch v := v.(type) {
	case Number:
		n = max(int(v), -int(v))
	case List:
		n = len(v)
		if n == 1 {
			return c.number(v[0])
		}
	case Noun:
		if c.nouns[v.Set][v.ID].number == "many" {
			n = 2
		}
	}
	return pluralNames[plural.Cardinal.MatchPlural(c.Tag, n, 0, 0, 0, 0)]
}
