package notes

import (
	"slices"
	"strings"
	"unicode"

	"midcase/evidence"
)

// bookSection is a stretch of the text about one thing: a reference, or a list of numbers.
type bookSection struct {
	first, last int
	reference   string // empty where it is about none
	head        int    // last token of the reference's name
	numbers     string // the mark whose numbers are listed
}

// sections cuts the text where a reference's name or a list of numbers opens, and notes
// the makers named on the way.
func (r *bookReader) sections() []bookSection {
	var out []bookSection
	for _, p := range r.paragraphs() {
		if maker, ok := r.makerLine(p[0], p[1]); ok {
			r.name(maker)
			continue
		}
		first := p[0]
		cur := bookSection{first: first, last: p[1]}
		for i := first; i <= p[1]; i++ {
			if i != first && !r.sentenceEnd(i-1) {
				continue
			}
			id, end, ok := r.opensReference(i, p[1], i == first)
			if !ok && i == first {
				id, end, ok = r.spokenReference(i, p[1])
			}
			if mark, end2, is := r.opensNumbers(i, p[1]); is && !ok {
				if i != first {
					cur.last = i - 1
					out = append(out, cur)
				}
				cur = bookSection{first: i, last: p[1], head: end2, numbers: mark}
				continue
			}
			if !ok {
				continue
			}
			if i != first {
				cur.last = i - 1
				out = append(out, cur)
			}
			cur = bookSection{first: i, last: p[1], reference: id, head: end}
		}
		out = append(out, cur)
	}
	return out
}

func (r *bookReader) name(maker string) {
	if len(r.makers) == 1 && len(r.makers[0].References) == 0 && r.makers[0].Name != "" {
		return // named from outside
	}
	r.makers = append(r.makers, &BookMaker{Name: maker})
}

// paragraphs are stretches between blank lines, without the line ends around them. A line
// that opens a reference opens a paragraph too.
func (r *bookReader) paragraphs() [][2]int {
	var out [][2]int
	first := -1
	closes := func(i int) {
		if first >= 0 && i > first {
			out = append(out, [2]int{first, i - 1})
		}
		first = -1
	}
	for i, t := range r.all {
		if t.kind != line {
			if first < 0 {
				first = i
			}
			continue
		}
		switch {
		case i+1 < len(r.all) && r.all[i+1].kind == line, i+1 == len(r.all):
			closes(i)
		case first >= 0 && i+1 < len(r.all):
			if _, _, ok := r.opensReference(i+1, len(r.all)-1, true); ok {
				closes(i)
			} else if _, ok := r.makerLine(first, i-1); ok {
				closes(i)
			}
		}
	}
	closes(len(r.all))
	return out
}

// makerLine reports whether a line names a maker: in capitals, or as a title without any
// figure before anything else of the text.
func (r *bookReader) makerLine(first, last int) (string, bool) {
	for first < last && (r.all[first].text == "#" || r.all[first].text == "*") {
		first++
	}
	var name []string
	capitals := true
	at := 0
	for i := first; i <= last; i++ {
		t := r.all[i]
		if t.kind == figure || t.kind == line {
			return "", false
		}
		if t.kind == mark && t.text != "&" && t.text != "-" {
			break
		}
		if t.kind == word {
			capitals = capitals && strings.ToUpper(t.text) == t.text
			switch {
			case r.plainWord(t):
				if len(name) > 0 {
					i = last
				}
			case len(name) < 3 && unicode.IsUpper([]rune(t.text)[0]):
				if len(name) == 0 {
					at = i
				}
				name = append(name, t.text)
			case len(name) > 0:
				i = last
			}
		}
	}
	before := r.firstWord < first
	if len(name) == 0 || before && !capitals || len([]rune(strings.Join(name, ""))) < 3 {
		return "", false
	}
	if _, _, ok := r.opensNumbers(first, last); ok {
		return "", false
	}
	long := last-first > 12 && (last-first > 30 || r.holdsText(first, last, "."))
	if long || last-first > 6 && before {
		return "", false
	}
	for i := range name {
		if capitals {
			name[i] = name[i][:1] + strings.ToLower(name[i][1:])
		}
	}
	r.ground(at, min(last, at+len(name)-1), 0.9)
	return strings.Join(name, " "), true
}

func (r *bookReader) holdsText(first, last int, text string) bool {
	return slices.ContainsFunc(r.all[first:last+1], func(t token) bool { return t.text == text })
}

// plainWord reports whether a word of a title is no name.
func (r *bookReader) plainWord(t token) bool {
	return len(r.words.phrases[t.norm]) > 0 || slices.Contains([]string{"what", "know", "notes", "note", "everything", "watches", "references",
		"maker", "makers", "old", "list", "book", "notebook", "dictated", "whoever", "who", "takes", "over", "me", "all", "some", "our", "we"},
		t.norm)
}

// opensReference reads the name of a reference that a sentence opens with. At the begin
// of a paragraph "K-31 - …", "MV 224: …", "The MV 218 is …" and "Ref. 4410, …" do; later
// on only with a colon, a dash or a verb behind it.
func (r *bookReader) opensReference(i, last int, paragraph bool) (string, int, bool) {
	said := false
	for i <= last && (slices.Contains([]string{"the", "ref", "reference", "model", "no"}, r.all[i].norm) ||
		r.all[i].kind == mark && strings.Contains("-*•#.", r.all[i].text)) {
		if id, end, ok := r.modelAt(i, last); ok && paragraph {
			return id, end, true
		}
		said = said || slices.Contains([]string{"ref", "reference", "model"}, r.all[i].norm)
		i++
	}
	if i > last {
		return "", 0, false
	}
	if m := r.capitalised(i); m && !said && i+1 <= last && len(r.all[i].text) > 3 { // "Tarnholt K-31 …"
		if id, end, ok := r.codeAt(i+1, last, false); ok && paragraph {
			if r.maker().Name == "" {
				r.maker().Name = r.all[i].text
			}
			return id, end, true
		}
	}
	id, end, ok := r.codeAt(i, last, said)
	if !ok {
		return "", 0, false
	}
	next := r.at0(end + 1)
	named := strings.Contains(":-–—", next) && next != "" || slices.Contains([]string{"is", "was", "has", "came", "follows", "replaces", "replaced"}, next)
	if r.isNumeric(id) && !said && !(paragraph && named) {
		return "", 0, false
	}
	return id, end, paragraph || named
}

// modelAt reads "Model 14": a number of one or two figures names a reference only with
// the word.
func (r *bookReader) modelAt(i, last int) (string, int, bool) {
	if r.all[i].norm != "model" || i == last || r.all[i+1].kind != figure || !onlyDigits(r.all[i+1].text) || len(r.all[i+1].text) > 2 {
		return "", 0, false
	}
	end := r.suffix(i+1, last)
	return string(r.runes[r.all[i].from:r.all[end].to]), end, true
}

// opensNumbers reports whether a sentence opens a list of numbers.
func (r *bookReader) opensNumbers(i, last int) (string, int, bool) {
	for i < last && slices.Contains([]string{"as", "to", "for", "about", "now"}, r.all[i].norm) {
		i++ // "As to numbers, …"
	}
	for i <= last && (r.all[i].norm == "the" || r.all[i].kind == mark && strings.Contains("-*•#", r.all[i].text)) {
		i++
	}
	if i > last {
		return "", 0, false
	}
	p, end, ok := r.phraseAt(i, last, "numbers")
	if ok && p.words[0] == "numbers" {
		for j := end + 1; j <= last && !r.sentenceEnd(j); j++ {
			if r.all[j].norm == "movement" && end < j-1 && r.all[end+1].text == "," { // "…, the movement is what counts"
				return evidence.MarkMovementNumber, end, true
			}
		}
	}
	return p.id, end, ok
}

// sentenceEnd reports whether a sentence ends with token i: a full stop that ends no
// abbreviation, a semicolon, or the end of a line before a new beginning.
func (r *bookReader) sentenceEnd(i int) bool {
	t := r.all[i]
	switch {
	case t.kind == line:
		return i+1 >= len(r.all) || r.all[i+1].kind == line || r.beginsAnew(i+1) && i > 0 && strings.Contains(".;:!?", r.all[i-1].text) ||
			r.all[i+1].kind == mark && strings.Contains("-*•", r.all[i+1].text)
	case t.kind != mark:
		return false
	case t.text == "?" && r.doubts(i):
		return false
	case t.text == ";" || t.text == "!" || t.text == "?":
		return true
	case t.text != ".":
		return false
	}
	if i > 0 && slices.Contains(r.words.Short, r.all[i-1].norm) && t.joined && !r.endsCode(i-1) && i+1 < len(r.all) && r.all[i+1].kind != line && !r.capitalAfterShort(i) {
		return false
	}
	return true
}

// doubts reports whether a question mark only doubts the word before it, "until 1965?,
// baton since": a comma, a bracket or a small letter follows.
func (r *bookReader) doubts(i int) bool {
	if i == 0 || !r.all[i].joined || i+1 >= len(r.all) {
		return false
	}
	next := r.all[i+1]
	return next.kind == mark && strings.Contains(",)", next.text) || next.kind == word && !r.capitalised(i+1)
}

// endsCode reports whether a letter belongs to figures before it, "VA 2c".
func (r *bookReader) endsCode(i int) bool {
	return i > 0 && r.all[i].joined && r.all[i-1].kind == figure && r.all[i].norm != "j"
}

// capitalAfterShort reports whether a capital behind an abbreviation begins a sentence
// all the same: "17 j. Steel", not "cal. Tn 8".
func (r *bookReader) capitalAfterShort(i int) bool {
	before := r.all[i-1].norm
	if slices.Contains([]string{"cal", "ref", "no", "nr", "mvt", "abt", "ca", "c", "w", "jan", "feb", "repl", "serv"}, before) {
		return false
	}
	_, _, part := r.phraseAt(i+1, len(r.all)-1, "slot")
	return part || r.capitalised(i+1)
}

func (r *bookReader) beginsAnew(i int) bool {
	return r.all[i].kind == mark || r.capitalised(i)
}

// sentences cuts a stretch at the ends of sentences. A stretch in brackets belongs to its
// sentence.
func (r *bookReader) sentences(first, last int) [][2]int {
	var out [][2]int
	from := first
	for i := first; i <= last; i++ {
		if r.sentenceEnd(i) || i == last {
			to := i
			if i > from || r.all[i].kind == word {
				out = append(out, [2]int{from, to})
			}
			from = i + 1
		}
	}
	return out
}

// pieces cuts a sentence at commas, brackets, dashes between spaces, colons, and at "and"
// before a word about time.
func (r *bookReader) pieces(first, last int) [][2]int {
	var out [][2]int
	from := first
	add := func(to int) {
		for from <= to && r.all[from].kind != word && r.all[from].kind != figure {
			from++
		}
		for to >= from && (r.all[to].kind == line || r.all[to].kind == mark && !strings.Contains("%)", r.all[to].text)) {
			to--
		}
		if from <= to {
			out = append(out, [2]int{from, to})
		}
	}
	for i := first; i <= last; i++ {
		t := r.all[i]
		cut := t.kind == mark && strings.Contains(",;:().", t.text) && !(t.text == "." && i > 0 && slices.Contains(r.words.Short, r.all[i-1].norm))
		if t.text == "-" || t.text == "–" || t.text == "—" {
			_, before := r.timeEndsAt(i - 1)
			cut = !t.joined && !before
		}
		if (t.norm == "and" || t.text == "&") && i > from && i < last {
			next := i + 1
			if r.all[next].norm == "again" && next < last && r.all[i-1].norm != "now" {
				next++
			}
			_, _, when := r.phraseAt(next, last, "when")
			_, at := r.momentAt(next, last, false)
			at = at || r.timeIn(from, i-1) && r.nextAt(r.markFrom(i+1, last))
			at = at || (r.timeIn(from, i-1) || r.earlyIn(from, i-1)) && r.timeIn(i+1, r.markFrom(i+1, last))
			cut = (when || at) && !r.holdsWord(from, i, "between") && !r.holdsWord(from, i, "started")
		}
		if cut {
			add(i - 1)
			from = i + 1
		}
	}
	add(last)
	return out
}

// timeIn reports whether a time is given between two tokens.
func (r *bookReader) timeIn(first, last int) bool {
	for i := first; i <= last; i++ {
		if _, ok := r.momentAt(i, last, false); ok {
			return true
		}
	}
	return false
}

// nextAt reports whether a word that says what followed ends with the token: "straight
// batons afterwards".
func (r *bookReader) nextAt(i int) bool {
	p, _, ok := r.phraseAt(i, i, "when")
	return ok && p.id == "next"
}

// earlyIn reports whether early ones are spoken of between two tokens.
func (r *bookReader) earlyIn(first, last int) bool {
	for i := first; i <= last; i++ {
		if p, _, ok := r.phraseAt(i, last, "when"); ok && p.id == "early" {
			return true
		}
	}
	return false
}

// markFrom is the token before the next sign of punctuation.
func (r *bookReader) markFrom(i, last int) int {
	for i < last && r.all[i+1].kind != mark {
		i++
	}
	return i
}

func (r *bookReader) holdsWord(first, last int, w string) bool {
	for i := first; i <= last; i++ {
		if r.all[i].norm == w {
			return true
		}
	}
	return false
}

// timeEndsAt reports whether a year ends with the token, so that a dash behind it means
// "until".
func (r *bookReader) timeEndsAt(i int) (int, bool) {
	if i < 0 {
		return 0, false
	}
	y, _, ok := r.bookYear(i, i, i > 0 && (r.all[i-1].text == "/" || r.all[i-1].text == "'"))
	return y, ok
}
