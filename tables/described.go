package tables

import (
	"regexp"
	"strconv"
	"strings"
)

var (
	ofTen     = regexp.MustCompile(`\b(\d{1,2}(?:[.,]\d)?)\s?/\s?10\b`)
	graded    = regexp.MustCompile(`(?i)\b(?:cond|condition|zustand|grade)\.?\s*:?\s*(\d{1,2}(?:[.,]\d)?)\b`)
	caYear    = regexp.MustCompile(`(?i)\b(?:ca|circa|um|vers|c)\.?\s?(1[89]\d\d|20\d\d)\b`)
	plainYear = regexp.MustCompile(`^(?:from\s)?(1[89]\d\d)$`)
)

// described reads what the text of a sale says of the watch: metal, dial, year,
// condition, completeness. The text is cut at commas, since each part says one thing.
func (r *reader) described(text string, out *Row) {
	for _, part := range strings.FieldsFunc(text, func(c rune) bool { return c == ',' || c == ';' }) {
		part = strings.TrimSpace(part)
		r.part(part, out)
	}
}

func (r *reader) part(part string, out *Row) {
	set := func(field string, v any) {
		if out.Fields[field] == nil {
			out.Fields[field] = v
		}
	}
	if m := ofTen.FindStringSubmatch(part); m != nil {
		r.grade(m[1], out)
		return
	}
	if m := graded.FindStringSubmatch(part); m != nil {
		r.grade(m[1], out)
		return
	}
	if m := caYear.FindStringSubmatch(part); m != nil {
		set("year", m[1]+"~")
		return
	}
	if m := plainYear.FindStringSubmatch(part); m != nil {
		set("year", m[1])
		return
	}
	if c, ok := r.completeness.of(part); ok && !r.saysOther(part) {
		set("completeness", c)
		return
	}
	if d, ok := r.dialIn(part); ok {
		set("dial", d)
	}
	if m, ok := r.metals.of(part); ok && !strings.Contains(plain(part), "dial") {
		set("metal", m)
	}
}

// grade sets a condition from 1 to 10.
func (r *reader) grade(text string, out *Row) {
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err == nil && v >= 1 && v <= 10 {
		out.Fields["condition"] = v
	}
}

// saysOther keeps "no dents" from saying that the watch comes without box and papers.
func (r *reader) saysOther(part string) bool {
	p := " " + plain(part) + " "
	if !strings.HasPrefix(p, " no ") && !strings.HasPrefix(p, " non ") && !strings.HasPrefix(p, " sans ") &&
		!strings.HasPrefix(p, " ohne ") {
		return false
	}
	for _, w := range []string{"box", "papers", "papiere", "papiers", "boîte", "documenti", "scatola"} {
		if strings.Contains(p, " "+w+" ") {
			return false
		}
	}
	return true
}

// dialIn finds a dial by its colour or its kind of figures.
func (r *reader) dialIn(part string) (string, bool) {
	p := " " + plain(part) + " "
	words := strings.FieldsFunc(p, func(c rune) bool { return c == ' ' || c == '/' })
	named := false
	for _, w := range words {
		named = named || r.dialWords.has(w)
	}
	if m, ok := r.metals.of(part); ok && !named {
		if m != "silver" {
			return "", false
		}
	}
	for _, w := range words {
		if r.dials.has(w) {
			kept := make([]string, 0, len(words))
			for _, v := range words {
				if !r.dialWords.has(v) {
					kept = append(kept, v)
				}
			}
			return strings.Join(kept, " "), true
		}
	}
	return "", false
}
