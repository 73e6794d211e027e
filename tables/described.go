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

// part fills the fields that a part of a text tells. A grade goes over one that stands there; for the rest, what was
// said first holds.
func (r *reader) part(part string, out *Row) {
	told, known := r.told[part]
	if !known {
		told = r.tells(part)
		r.told[part] = told
	}
	for field, v := range told {
		if out.Fields[field] == nil || field == "condition" {
			out.Fields[field] = v
		}
	}
}

// tells is what one part of a text says, by field.
func (r *reader) tells(part string) map[string]any {
	if hasFigure(part) {
		if told := figureIn(part); told != nil {
			return told
		}
	}
	if c, ok := r.completeness.of(part); ok && !r.saysOther(part) {
		if exact, ok := r.boxAndPapers(part); ok {
			c = exact // "no papers"
		}
		return map[string]any{"completeness": c}
	}
	out := map[string]any{}
	if d, ok := r.dialIn(part); ok {
		out["dial"] = d
	}
	if m, ok := r.metalIn(part); ok && !strings.Contains(plain(part), "dial") {
		out["metal"] = m
	}
	return out
}

// figureIn is the grade or the year that a part with figures tells; nil where it tells neither.
func figureIn(part string) map[string]any {
	for _, form := range []*regexp.Regexp{ofTen, graded} {
		if m := form.FindStringSubmatch(part); m != nil {
			return grade(m[1])
		}
	}
	if m := caYear.FindStringSubmatch(part); m != nil {
		return map[string]any{"year": m[1] + "~"}
	}
	if m := plainYear.FindStringSubmatch(part); m != nil {
		return map[string]any{"year": m[1]}
	}
	return nil
}

// grade is a condition from 1 to 10.
func grade(text string) map[string]any {
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err == nil && v >= 1 && v <= 10 {
		return map[string]any{"condition": v}
	}
	return nil
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
				if _, metal := r.metals.of(v); !r.dialWords.has(v) && (!metal || r.dials.has(v)) {
					kept = append(kept, v)
				}
			}
			return strings.Join(kept, " "), true
		}
	}
	return "", false
}
