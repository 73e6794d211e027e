package notes

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/typed"
)

// gradually are words for a version that came or went little by little; its window is soft by gradualMonths.
// Common practice, no published source.
var gradually = []string{"rare at first", "few at first", "rare in the beginning", "rare towards the end",
	"rare at the end", "rare at last", "little by little", "fading out", "gradually", "slowly"}

const gradualMonths = 18

// openBegins and openEnds are words for the beginning and the end of the reference's time.
var (
	openBegins = []string{"from the very start", "from the start", "from the beginning", "the first ones", "first ones"}
	openEnds   = []string{"until the very end", "until the end", "till the end", "to the end", "to the last"}
)

// timeExample ends the message about words that are no time.
const timeExample = "words such as “until about 1967”, “from early 1970, rare at first” or “1964 to 1967, and again from 1971”"

// ReadTimes reads the times in which a version of a part was fitted, as a dealer writes them into one field: years,
// EDTF, or words, several times parted by a semicolon or "and again". made is the time of the whole reference, in EDTF;
// what the words leave open begins or ends with it, and empty words are all of it. The error says what would be right.
func ReadTimes(words, made string) ([]BookWindow, error) {
	words = strings.TrimSpace(words)
	if words == "" {
		return []BookWindow{{Made: made}}, nil
	}
	if _, err := edtf.Parse(words); err == nil {
		return []BookWindow{{Made: words}}, nil
	}
	var out []BookWindow
	for _, piece := range times(words) {
		w, err := readTime(piece, made)
		if err != nil {
			return nil, err
		}
		out = append(out, w)
	}
	return out, nil
}

// times parts the words of several times.
func times(words string) []string {
	low := strings.ToLower(words)
	for _, s := range []string{", and again", " and again", ", again", "; again"} {
		low = strings.ReplaceAll(low, s, ";")
	}
	var out []string
	for p := range strings.SplitSeq(low, ";") {
		if p = strings.Trim(p, " ,."); p != "" {
			out = append(out, p)
		}
	}
	return out
}

// readTime reads the words of one time.
func readTime(words, made string) (BookWindow, error) {
	refused := func() (BookWindow, error) {
		return BookWindow{}, errors.New(typed.Refusal(`"`+words+`"`, timeExample))
	}
	if _, err := edtf.Parse(words); err == nil {
		return BookWindow{Made: words}, nil
	}
	soft, rest := 0, words
	for _, g := range gradually {
		if strings.Contains(rest, g) {
			soft, rest = gradualMonths, strings.ReplaceAll(rest, g, "")
		}
	}
	from, to, _ := strings.Cut(made, "/")
	rest = spelledOut(rest, "from ", from, openBegins)
	rest = spelledOut(rest, " until ", to, openEnds)
	c := &chapter{bookReader: newBookReader(rest, ""), ref: &BookReference{Made: &BookSpan{Value: made}}}
	last := len(c.all) - 1
	if last < 0 {
		return BookWindow{Made: made, SoftMonths: soft}, nil
	}
	said := make([]bool, last+1)
	t := c.timingOf(0, last, said)
	share := c.shareIn(0, last, said)
	for i, tok := range c.all {
		if !said[i] && tok.kind != mark && tok.kind != line && !hedges[tok.norm] &&
			!slices.Contains(c.words.Filler, tok.norm) {
			return refused()
		}
	}
	if !t.begins && !t.ends && !t.early && !t.whole && share == 0 && soft == 0 {
		return refused()
	}
	one := []*partDraft{{t: t, share: share}}
	w := BookWindow{Made: c.from(one, 0) + "/" + c.to(one, 0), SoftMonths: max(soft, t.start.soft, t.end.soft), Share: share}
	switch _, err := edtf.Parse(w.Made); {
	case err != nil:
		return BookWindow{}, errors.New(typed.Refusal(`"`+words+`"`, "a time that ends after it begins, within "+made))
	case w.Made == "../..":
		return refused()
	}
	return w, nil
}

// spelledOut puts the beginning or the end of the reference's time in the place of words for it.
func spelledOut(words, relation, at string, phrases []string) string {
	moment := inWords(strings.TrimRight(at, "~?%"))
	if at == ".." || moment == "" {
		return words
	}
	for _, p := range phrases {
		words = strings.ReplaceAll(words, p, relation+moment)
	}
	return words
}

// ReadMilestone reads a number of a watch and when it was reached, from two fields: "about 310,000" and "early 1966".
// The error says what would be right.
func ReadMilestone(number, when string) (Milestone, error) {
	c := newBookReader(strings.TrimSpace(number), "")
	m := Milestone{}
	for i := range c.all {
		n, ok := numberAt(c.all, i)
		if !ok || !n.whole() {
			continue
		}
		if v := n.digits(); len(v) <= 12 {
			m.Number, _ = strconv.Atoi(v) // digits alone
			if n.last+1 < len(c.all) && c.all[n.last+1].joined && c.all[n.last+1].norm == "k" {
				m.Number *= 1000
			}
		}
		break
	}
	if m.Number <= 0 {
		return m, errors.New(typed.Refusal(`"`+number+`"`, "a number, for example 310000 or about 310,000"))
	}
	if month, err := edtf.ParseMonth(strings.TrimSpace(when)); err == nil {
		m.Month = month.String()
		return m, nil
	}
	w := newBookReader(strings.TrimSpace(when), "")
	for i := range w.all {
		if at, ok := w.momentAt(i, len(w.all)-1, true); ok {
			m.Month, m.PlusMinusMonths = at.middle()
			return m, nil
		}
	}
	return m, errors.New(typed.Refusal(`"`+when+`"`, "when the number was reached, for example early 1966 or 1966-03"))
}

// TimesInWords writes windows of the book as ReadTimes reads them back.
func TimesInWords(windows []BookWindow) string {
	var out []string
	for _, w := range windows {
		out = append(out, inWords(w.Made))
	}
	return strings.Join(out, "; ")
}

var monthNames = [...]string{"January", "February", "March", "April", "May", "June", "July", "August", "September",
	"October", "November", "December"}

// inWords writes a time in EDTF in words, where it is plain years or months; else it stays EDTF.
func inWords(made string) string {
	from, to, two := strings.Cut(made, "/")
	a, okA := plainTime(from)
	b, okB := plainTime(to)
	switch {
	case !two && okA:
		return a
	case !two || !okA && from != ".." || !okB && to != "..":
		return made
	case from == ".." && okB:
		return "until " + b
	case to == ".." && okA:
		return "from " + a
	case okA && okB:
		return a + " to " + b
	}
	return made
}

func plainTime(s string) (string, bool) {
	if len(s) == 4 {
		_, err := edtf.Parse(s)
		return s, err == nil && strings.Trim(s, "0123456789") == ""
	}
	m, err := edtf.ParseMonth(s)
	if err != nil {
		return "", false
	}
	return fmt.Sprintf("%s %d", monthNames[m.Calendar()-1], m.Year()), true
}
