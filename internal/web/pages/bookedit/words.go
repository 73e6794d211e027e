package bookedit

import (
	"fmt"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/frame"
	"midcase/refbook"
)

// Data is what the editor shows.
type Data struct {
	Frame frame.Data
	Maker *refbook.Maker // nil for a new one
	Part  string         // the reference that is edited; empty for the whole file
	Text  string         // of the part, or the whole file
	Base  string         // SHA-256 of the file that the text was taken from; empty for a new one
	Was   string         // SHA-256 of the part as it was taken

	Reason *form.View // for the change

	Problems []Problem
	Theirs   []Change // what somebody else changed meanwhile; nil where nobody did
	Checked  bool     // the text was found right
	Effects  []Effect
	Looked   int // on how many watches the effect was reckoned
	Of       int // how many there are
	Saved    bool

	Variant *form.View // of the quick form for a version; nil where there is none
	Anchor  *form.View // of the quick form for a pair of number and month
	Quick   string     // which quick form something is wrong with
	Trouble string     // what is wrong with it, of no field
}

// Problem is one thing wrong with the text, with the lines about it.
type Problem struct {
	Line   int    // in the text shown; 0 where it is elsewhere
	Where  string // such as references[2].made
	Found  string
	Hint   string
	Around []Numbered
}

// Numbered is one line of a text.
type Numbered struct {
	N    int
	Text string
	Here bool
}

// Effect is a watch on which the opinion becomes another.
type Effect struct {
	Watch   shop.Watch
	Changes []string
}

// Shown turns the problems of a file into those of the text shown, which begins at a
// line of the file.
func Shown(problems refbook.Problems, file, text string, first int) []Problem {
	lines := strings.Split(text, "\n")
	var out []Problem
	for _, p := range problems {
		q := Problem{Where: p.Path, Found: p.Found, Hint: p.Hint}
		at := p.Line - first + 1
		if p.File == file && at >= 1 && at <= len(lines) {
			q.Line = at
			for i := max(1, at-1); i <= min(len(lines), at+1); i++ {
				q.Around = append(q.Around, Numbered{i, lines[i-1], i == at})
			}
		} else {
			q.Where = strings.TrimSpace(fmt.Sprintf("%s, line %d: %s", p.File, p.Line, p.Path))
		}
		out = append(out, q)
	}
	return out
}

// Change is one line of what tells two texts apart.
type Change struct {
	Kind byte // '+', '-', ' ' or '@' for a place
	Text string
}

// Changes reads a unified diff.
func Changes(diff []byte) []Change {
	var out []Change
	for _, line := range strings.Split(strings.TrimRight(string(diff), "\n"), "\n") {
		switch {
		case line == "" || strings.HasPrefix(line, "diff ") || strings.HasPrefix(line, "--- ") ||
			strings.HasPrefix(line, "+++ ") || strings.HasPrefix(line, "\\"):
		case strings.ContainsRune("+-@ ", rune(line[0])):
			out = append(out, Change{line[0], line[1:]})
		}
	}
	return out
}

func foundAndHint(p Problem) string {
	if p.Hint == "" {
		return "found " + p.Found
	}
	return "found " + p.Found + "; " + p.Hint
}

// place says where a run of changes stands: the text after the first @ of such a line
// as "@ -315,7 +315,7 @@".
func place(text string) string {
	_, rest, _ := strings.Cut(text, "+")
	line, _, _ := strings.Cut(rest, ",")
	line, _, _ = strings.Cut(line, " ")
	return "… line " + line
}

// title says what is edited.
func (d Data) title() string {
	switch {
	case d.Maker == nil:
		return "A new maker"
	case d.Part != "":
		return "Edit " + d.Maker.Name + " " + d.Part
	}
	return "Edit " + d.Maker.Name
}

func (d Data) action() string {
	if d.Maker == nil {
		return "/book-edit"
	}
	return "/book-edit/" + d.Maker.ID
}

// rows is the height of the text's field.
func (d Data) rows() string {
	return fmt.Sprint(min(max(strings.Count(d.Text, "\n")+3, 16), 36))
}

// draft names what is kept of a half-typed text: one taken from another state of the
// file is another.
func (d Data) draft() string {
	return strings.Join([]string{"book", d.Part, d.Base[:min(len(d.Base), 12)]}, " ")
}

// Template is what a new maker's file begins as.
const Template = `schema: 1
id: shortname            # small letters, digits, - and _; the name of the file
name: "Full name"
country: CH              # ISO 3166-1
serials: []
metals:
  - {id: steel, name: "Steel"}
calibres: []
families: []
references: []
`

// History is what the page of a file's versions shows.
type History struct {
	Frame    frame.Data
	Maker    string // id
	Name     string
	Versions []shop.BookVersion // the latest first
	Shown    *shop.BookVersion  // nil for the list alone
	Text     string
	Since    []Change // from the version shown to what is in force
	From     []Change // from the version before to the one shown
	InForce  string   // SHA-256 of the text in force
}
