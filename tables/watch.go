package tables

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"midcase/notes"
)

var refWord = regexp.MustCompile(`(?i)\b(ref|réf|rif|reference|referenz|model|modell)\b\.?\s*(?:no|nr)?\.?\s*`)

// nameWatch finds maker and reference by the book; without one, the word with figures is
// the reference, what stands before it the maker, and what follows says more of the watch.
func (r *reader) nameWatch(text, maker, reference string) watchNamed {
	if maker == "" && reference != "" && !hasFigure(text) {
		maker = r.makerOf(text) // "Orbenau Diver" beside a column of references
		text = maker + " " + reference
	}
	clean := strings.Join(strings.Fields(refWord.ReplaceAllString(text, " ")), " ")
	if r.opt.Book != nil {
		m, ref := notes.FindWatch(clean, r.opt.Book)
		if r.otherMaker(maker, m) {
			m, ref = "", ""
		}
		if m != "" && ref != "" {
			return watchNamed{maker: m, reference: ref}
		} else if m != "" && reference == "" {
			return watchNamed{maker: m, reference: withoutWords(clean, m)}
		}
	}
	if maker != "" && reference != "" {
		ref, rest := r.code(strings.Fields(refWord.ReplaceAllString(reference, "")))
		return watchNamed{maker, ref, rest}
	}
	return r.splitNames(strings.Fields(clean))
}

// makerOf is what begins a designation without figures: all that those which begin alike have in common, else its first
// word.
func (r *reader) makerOf(text string) string {
	words := strings.Fields(text)
	if len(words) == 0 {
		return ""
	}
	common, alike := words, false
	for _, other := range r.designations {
		n := 0
		for n < len(common) && n < len(other) && strings.EqualFold(common[n], other[n]) {
			n++
		}
		if n > 0 && !slices.Equal(other, words) {
			common, alike = common[:n], true
		}
	}
	if !alike {
		common = words[:1]
	}
	return strings.Join(common, " ")
}

// nameMakers gives the rows that name no maker the one that stands behind their reference ("218 Orbenau", where other
// rows name Orbenau), else the only one of whom other rows name the reference, else the answer given. What is left is
// asked about.
func (r *reader) nameMakers() {
	named, of := map[string]string{}, map[string]map[string]bool{}
	for _, row := range r.out.Rows {
		maker, _ := row.Fields["maker"].(string)
		reference, _ := row.Fields["reference"].(string)
		if maker == "" {
			continue
		}
		named[letters(maker)] = maker
		if of[letters(reference)] == nil {
			of[letters(reference)] = map[string]bool{}
		}
		of[letters(reference)][maker] = true
	}
	for i := range r.out.Rows {
		row := &r.out.Rows[i]
		reference, _ := row.Fields["reference"].(string)
		if row.Fields["maker"] != nil || reference == "" {
			continue
		}
		maker, without := makerBehind(reference, named)
		if all := of[letters(without)]; maker == "" && len(all) == 1 && without != "" {
			for maker = range all {
			}
		}
		if maker == "" {
			maker = r.opt.Answers[AskMaker]
		}
		if maker == "" {
			r.noMaker = append(r.noMaker, row.Line)
			continue
		}
		w := r.spelled(watchNamed{maker: maker, reference: without})
		row.Fields["maker"] = w.maker
		r.took("maker")
		if w.reference != "" {
			row.Fields["reference"] = w.reference
			r.took("watch")
		}
		if r.as == Stock {
			r.evidence(row)
		}
	}
}

// makerBehind parts "218 Orbenau" where Orbenau is a maker that other rows name.
func makerBehind(reference string, named map[string]string) (maker, without string) {
	words := strings.Fields(reference)
	for at := 1; at < len(words); at++ {
		if m, ok := named[letters(strings.Join(words[at:], " "))]; ok {
			return m, strings.Join(words[:at], " ")
		}
	}
	return "", reference
}

// otherMaker reports whether a row names a maker of its own that is not the one which the
// book's reference belongs to: “340” is a reference of more than one.
func (r *reader) otherMaker(named, found string) bool {
	if named == "" || found == "" || letters(named) == letters(found) {
		return false
	}
	byName, ok := r.opt.Book.Maker(named)
	if ok {
		return byName.Name != found
	}
	m, _ := notes.FindWatch(named, r.opt.Book)
	return m == ""
}

// SplitWatch parts a text into maker and reference without a book; either may be empty.
func SplitWatch(text string) (maker, reference string) {
	r := reader{lexicon: vocabulary()}
	w := r.splitNames(strings.Fields(refWord.ReplaceAllString(text, " ")))
	return w.maker, w.reference
}

// MetalNamed is the metal that a few words name, by its id in books and sales.
func MetalNamed(text string) (id string, ok bool) { return vocabulary().metalIn(text) }

var karats = regexp.MustCompile(`(?i)\b(9|10|14)\s?(?:k|kt|ct|kar|karats?|carats?|carati)\b|\b(375|417|585)\b`)

// karatOf is the gold of a mark of fineness.
var karatOf = map[string]string{"9": "gold9", "375": "gold9", "10": "gold10", "417": "gold10", "14": "gold14", "585": "gold14"}

// metalIn is the metal that some words name. A fineness goes before a colour: "14k rose gold" is not of 18 karat.
func (l *lexicon) metalIn(text string) (id string, ok bool) {
	id, ok = l.metals.of(text)
	colour, gold := strings.CutPrefix(id, "gold18")
	if m := karats.FindStringSubmatch(text); m != nil && ok && gold {
		return karatOf[m[1]+m[2]] + colour, true
	}
	return id, ok
}

func withoutWords(text, maker string) string {
	return strings.TrimSpace(strings.Replace(text, maker, "", 1))
}

// splitNames parts words into maker, reference and the rest. Short capitals before a
// number belong to the reference ("T 218").
func (r *reader) splitNames(words []string) watchNamed {
	at := -1
	for i, w := range words {
		next := i+1 < len(words) && strings.ContainsFunc(words[i+1], unicode.IsDigit)
		if strings.ContainsFunc(w, unicode.IsDigit) || len(w) <= 3 && strings.ToUpper(w) == w && next {
			at = i
			break
		}
	}
	if at < 0 {
		return watchNamed{maker: strings.Join(words, " ")}
	}
	ref, rest := r.code(words[at:])
	maker := strings.Trim(strings.Join(words[:at], " "), " .,-–")
	return watchNamed{maker, ref, rest}
}

// code cuts words of metal and dial, and all after them, off a reference ("T 218 steel").
func (r *reader) code(words []string) (reference, rest string) {
	figures := false
	for i, w := range words {
		_, metal := r.metals.of(w)
		if !metal && i+1 < len(words) { // "L7 or jaune", "L7 or 14k"
			_, next := r.metals.of(words[i+1])
			_, metal = r.metals.of(w + " " + words[i+1])
			metal = metal && (!next || w == "or" || w == "oro")
		}
		word := strings.Trim(w, ",;.()")
		if i > 0 && figures && (metal || r.dials.has(word) || r.dialWords.has(word)) {
			return strings.Trim(strings.Join(words[:i], " "), " ,;"), strings.Join(words[i:], " ")
		}
		figures = figures || strings.ContainsFunc(w, unicode.IsDigit)
		if figures && i+1 < len(words) && (strings.HasSuffix(w, ",") || strings.HasSuffix(w, ";")) {
			return strings.Trim(strings.Join(words[:i+1], " "), " ,;"), strings.Join(words[i+1:], " ")
		}
	}
	return strings.Join(words, " "), ""
}

// spelled writes one maker and one reference one way throughout: "T218" and "T 218" are
// the same, the first is kept.
func (r *reader) spelled(w watchNamed) watchNamed {
	once := func(kind, name string) string {
		key := kind + letters(name)
		if name == "" || key == kind {
			return name
		}
		if _, known := r.spell[key]; !known {
			r.spell[key] = name
		}
		return r.spell[key]
	}
	w.maker = once("m", w.maker)
	w.reference = once(w.maker+"|", w.reference)
	return w
}

// letters are the letters and figures of a name, in lower case.
func letters(name string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			return unicode.ToLower(c)
		}
		return -1
	}, name)
}

var lotReference = regexp.MustCompile(`(?i)\b(?:ref|réf|rif|reference|referenz|model|modell)\b\.?\s*` +
	`(?:no\.?|nr\.?)?\s*([\p{L}]{0,3}[ -]?\d[\p{L}\d/-]*)`)

// lotTitle finds the watch in the text of a lot where no column names it: the maker opens
// the text, up to its first mark, and the reference is named as one.
func (r *reader) lotTitle(row gridRow) string {
	c, ok := r.column("note")
	if !ok || r.as != Sales {
		return ""
	}
	for _, f := range []string{"watch", "maker", "reference"} {
		if _, named := r.column(f); named {
			return ""
		}
	}
	text := row.cell(c.at)
	if r.opt.Book != nil {
		if m, ref := notes.FindWatch(text, r.opt.Book); m != "" && ref != "" {
			return m + " " + ref
		}
	}
	m := lotReference.FindStringSubmatch(text)
	if m == nil {
		return ""
	}
	maker := text[:strings.IndexAny(text+".", ".,:;")]
	if len(strings.Fields(maker)) > 3 || strings.ContainsFunc(maker, unicode.IsDigit) {
		return ""
	}
	return maker + " " + m[1]
}
