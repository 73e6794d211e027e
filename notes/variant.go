package notes

import (
	"slices"
	"sort"
	"strings"
	"unicode"

	"midcase/evidence"
	"midcase/refbook"
)

// fitted proposes the versions of parts that the words of the text name, by the words
// that tell the book's versions of a slot apart.
func (r *reader) fitted() {
	for k, e := range r.ev {
		if kind, id, ok := strings.Cut(e.id, ":"); ok && e.role == isCode &&
			(kind == string(evidence.Bracelet) || kind == string(evidence.EndPieces)) {
			r.fittedCode(k, evidence.Slot(kind), id)
		}
	}
	if r.ref == nil {
		return
	}
	for i := range r.ref.Slots {
		r.fittedSlot(&r.ref.Slots[i])
	}
	r.braceletByName()
	r.metal()
}

// braceletByName proposes the one bracelet of the reference that a word of its name tells, where no code of one was
// said and nothing says that it is another: "mesh with e6".
func (r *reader) braceletByName() {
	for _, it := range r.out {
		switch d := it.Data.(type) {
		case *evidence.Fitted:
			if d.Slot == evidence.Bracelet {
				return
			}
		case *evidence.Finding:
			if d.Slot == evidence.Bracelet && d.Term == "replaced" {
				return
			}
		}
	}
	named := map[string]string{} // by a word of the name; empty where several have it
	for _, id := range r.ref.Bracelets {
		i := slices.IndexFunc(r.maker.Bracelets, func(b refbook.Bracelet) bool { return b.ID == id })
		if i < 0 {
			continue
		}
		for _, w := range strings.Fields(folded(r.maker.Bracelets[i].Name)) {
			if len(w) < 4 || len(r.lexicon.byFirst[w]) > 0 {
				continue // bracelet, links, steel
			}
			if _, twice := named[w]; twice {
				id = ""
			}
			named[w] = id
		}
	}
	for i := range r.all {
		id := named[r.at0(i)]
		if id == "" || r.all[i].kind != word || r.deniedAt(i) || r.said(i) || r.at[i] >= 0 {
			continue
		}
		if s := r.slotAt(i); s == evidence.Dial || s == evidence.Bezel || s == evidence.Crown || s == evidence.Papers {
			if next := r.at0(i + 1); next != "bracelet" && next != "with" {
				continue
			}
		}
		last := i
		if r.at0(i+1) == "bracelet" {
			last++
		}
		r.propose(&evidence.Fitted{Slot: evidence.Bracelet, Variant: id}, i, last, 0.75)
		return
	}
}

func (r *reader) fittedCode(k int, slot evidence.Slot, id string) {
	e := r.ev[k]
	if r.denied(k) {
		return
	}
	first := e.first
	for first > 0 && r.at[first-1] >= 0 && !r.ends(first-1) {
		if s, ok := r.ev[r.at[first-1]].is(isSlot); !ok || s != string(slot) {
			break
		}
		first--
	}
	r.propose(&evidence.Fitted{Slot: slot, Variant: id}, first, e.last, 0.95)
}

// naming is what the text says that may name a version: a stem and where it stands.
type naming struct {
	stem        string
	first, last int
}

// fittedSlot proposes a version of one slot.
func (r *reader) fittedSlot(s *refbook.Slot) {
	for _, it := range r.out {
		if f, ok := it.Data.(*evidence.Fitted); ok && f.Slot == s.Slot {
			return
		}
	}
	weights := distinctive(s)
	best, second, bestID := 0.0, 0.0, ""
	var where []naming
	said := r.namings(s.Slot)
	for i := range s.Variants {
		v := &s.Variants[i]
		sum := 0.0
		var on []naming
		counted := map[string]bool{}
		for _, n := range said {
			if w := weightOf(weights[v.ID], n.stem); w > 0 && !counted[n.stem] {
				counted[n.stem] = true
				sum += w
				on = append(on, n)
			}
		}
		switch {
		case sum > best:
			best, second, bestID, where = sum, best, v.ID, on
		case sum > second:
			second = sum
		}
	}
	if bestID == "" || best < 0.5 || best-second < 0.25 {
		return
	}
	sort.Slice(where, func(i, j int) bool { return where[i].first < where[j].first })
	first, last := where[0].first, where[0].last
	for _, n := range where {
		if n.first-last <= 6 {
			last = max(last, n.last)
		}
	}
	first, last = r.withSlotWord(s.Slot, first, last)
	if r.said(first) {
		r.claim(slotName(s.Slot), first, last, 0.75)
		return
	}
	r.propose(&evidence.Fitted{Slot: s.Slot, Variant: bestID}, first, last, min(0.95, 0.6+0.15*best))
}

// withSlotWord lets a proposal stand on the slot's name too where it is near.
func (r *passage) withSlotWord(slot evidence.Slot, first, last int) (int, int) {
	for _, o := range r.opens {
		e := r.ev[o.ev]
		if o.slot != slot || r.ev[o.ev].role != isSlot {
			continue
		}
		if e.first < first && first-e.last <= 4 {
			first = e.first
			break
		}
		if e.first > last && e.first-last <= 2 {
			last = e.last
			break
		}
	}
	return first, last
}

// namings are the stems said of a slot: in the stretch that its name opens, and the
// adjectives before its name. Denied words do not count, "not signed" counts as unsigned.
func (r *reader) namings(slot evidence.Slot) []naming {
	var out []naming
	for i, o := range r.opens {
		if o.slot != slot {
			continue
		}
		e := r.ev[o.ev]
		out = append(out, r.adjectives(e)...)
		end := len(r.all)
		if i+1 < len(r.opens) {
			next := r.ev[r.opens[i+1].ev]
			end = next.first
			if r.opens[i+1].slot != slot {
				end -= r.adjectivesOf(next, r.opens[i+1].slot)
			}
		}
		sentence := r.sentence(e.first)
		end = min(end, max(sentence.last+1, e.last+1), e.last+16)
		for j := e.last + 1; j < end; j++ {
			if k := r.at[j]; k >= 0 && r.ev[k].role == isCorrection && r.namesAfter(slot, j, end) {
				out = slices.DeleteFunc(out, func(n naming) bool { return n.first >= e.first-4 })
			}
			if n, ok := r.stemAt(j); ok && !r.findsFault(j) && !r.ofANumber(j) {
				out = append(out, n)
			}
		}
	}
	return out
}

// ofANumber reports whether a word was read as that of a number: "silver dial, number 414463" names no numbered dial.
func (r *reader) ofANumber(i int) bool {
	return r.used[i] && r.at[i] >= 0 && r.ev[r.at[i]].has(isMark, isNumber)
}

// findsFault reports whether a word tells what is wrong and names no version: "too long", "worn smooth".
func (r *script) findsFault(i int) bool { return r.at0(i-1) == "too" || r.at0(i-1) == "worn" }

// corrected reports whether a word stands right behind a correction, so that "no" in front of it denies nothing.
func (r *passage) corrected(j int) bool {
	k := -1
	if j > 0 {
		k = r.at[j-1]
	}
	return k >= 0 && r.ev[k].role == isCorrection
}

// namesAfter reports whether a version of the slot is named behind a token: "plain ... no, the decimal one".
func (r *reader) namesAfter(slot evidence.Slot, from, to int) bool {
	s, ok := r.ref.Slot(slot)
	if !ok {
		return false
	}
	weights := distinctive(s)
	for j := from + 1; j < to; j++ {
		n, ok := r.stemAt(j)
		if !ok {
			continue
		}
		for _, has := range weights {
			if weightOf(has, n.stem) > 0 {
				return true
			}
		}
	}
	return false
}

// adjectives are the words right before a slot's name that are nothing else.
func (r *passage) adjectives(e event) []naming {
	var out []naming
	for j := e.first - 1; j >= 0 && e.first-j <= 4; j-- {
		t := r.all[j]
		if t.kind != word || r.used[j] && r.at[j] >= 0 && r.ev[r.at[j]].role != isMetal {
			break
		}
		if r.at0(j-1) == "the" && slices.Contains(r.Places, r.at0(j-2)) {
			break // "near the top" of something before
		}
		if k := r.at[j]; k >= 0 {
			switch r.ev[k].role {
			case isMetal, isFeature, isQuality, isDegree:
			default:
				return out
			}
		}
		if r.filler[t.norm] {
			if t.norm == "the" || t.norm == "a" || t.norm == "and" {
				break
			}
			continue
		}
		if n, ok := r.stemAt(j); ok {
			out = append(out, n)
		}
	}
	return out
}

// adjectivesOf counts the words before a slot's name that tell its versions apart.
func (r *reader) adjectivesOf(e event, slot evidence.Slot) int {
	s, ok := r.ref.Slot(slot)
	if !ok {
		return 0
	}
	n := 0
	weights := distinctive(s)
	for _, a := range r.adjectives(e) {
		for _, has := range weights {
			if weightOf(has, a.stem) > 0 {
				n = max(n, e.first-a.first)
			}
		}
	}
	return n
}

// stemAt is the stem of a word that may name a version.
func (r *passage) stemAt(j int) (naming, bool) {
	t := r.all[j]
	if t.kind != word || r.filler[t.norm] && t.norm != "bar" || len(t.norm) < 3 && t.norm != "no" {
		return naming{}, false
	}
	if k := r.at[j]; k >= 0 && r.feature(k) == "print" && stem(t.norm) != "sign" {
		return naming{}, false // the print on the dial names no printed dial
	} else if k >= 0 && r.ev[k].role == isDegree && k+1 < len(r.ev) && r.ev[k+1].first == r.ev[k].last+1 &&
		r.ev[k+1].has(isTerm) {
		return naming{}, false // small spots name no dial with a small counter
	}
	before := r.at0(j - 1)
	if before == "no" || before == "without" || before == "never" {
		if st := stem(t.norm); st == "sign" && !r.corrected(j) {
			return naming{"unsign", j - 1, j}, true
		}
		return naming{}, false
	}
	if before == "not" || before == "isnt" {
		return naming{"un" + stem(t.norm), j - 1, j}, true
	}
	if denies := r.at0(j - 2); (before == "the" || before == "a" || before == "an") && (denies == "not" || denies == "isnt") {
		return naming{}, false // "not the gold one"
	}
	n := naming{stem(t.norm), j, j}
	if r.at0(j+1) == "." && r.all[j+1].joined {
		n.stem += "."
	}
	return n, true
}

// spellings are words that people write in several ways, by their stems.
var spellings = map[string]string{
	"gray": "grey", "silvered": "silver", "silvery": "silver", "unsgd": "unsign", "sgd": "sign", "golden": "gold", "alu": "aluminium",
	"aluminum": "aluminium", "ctrs": "counter", "blk": "black", "wht": "white", "brn": "brown", "mvt": "movement",
	"signature": "sign", "unsd": "unsign", "unsgn": "unsign", "unsig": "unsign", "uns": "unsign", "nosig": "unsign",
	"unsigned": "unsign", "sgn": "sign", "sig": "sign", "gry": "grey", "slv": "silver", "silv": "silver", "crm": "cream",
	"champ": "champagn", "chmp": "champagn", "grn": "green", "wh": "white", "bk": "black", "ptd": "print", "prtd": "print",
	"figs": "figur", "figures": "figur", "numerals": "figur", "regs": "counter", "registers": "counter", "subdials": "counter",
	"totalisers": "counter", "totalizers": "counter", "eyes": "counter", "engr": "engrav", "applied": "appl", "ringed": "ring",
	"batons": "baton", "sticks": "baton", "rhombs": "lozeng", "diamonds": "lozeng", "tan": "brown", "ivory": "cream",
	"offwhite": "cream", "lumed": "lum", "luminous": "lum", "slategrey": "slat", "pale": "pal", "dotted": "dot", "barred": "bar",
	"marine": "blu", "navy": "blu", "ribbed": "grooved", "striped": "strip",
}

// stem is a word without the endings of number and form, and in one spelling.
func stem(w string) string {
	if spelled, ok := spellings[w]; ok {
		return spelled
	}
	for _, end := range []string{"ings", "ing", "ed", "es", "s", "e"} {
		if cut, ok := strings.CutSuffix(w, end); ok && len(cut) >= 3 {
			if len(cut) > 3 && cut[len(cut)-1] == cut[len(cut)-2] {
				cut = cut[:len(cut)-1]
			}
			return cut
		}
	}
	return w
}

// colours are the stems by which people name a dial or an insert before all else.
var colours = map[string]bool{
	"black":     true,
	"white":     true,
	"blu":       true,
	"blue":      true,
	"grey":      true,
	"silver":    true,
	"cream":     true,
	"green":     true,
	"brown":     true,
	"champagn":  true,
	"champagne": true,
	"slat":      true,
	"slate":     true,
	"salmon":    true,
	"red":       true,
	"gold":      true,
	"gilt":      true,
}

// weightOf is how much a stem tells; a shortened word ("engr.") counts for what it begins.
func weightOf(weights map[string]float64, said string) float64 {
	if w, ok := weights[said]; ok {
		return w
	}
	short, shortened := strings.CutSuffix(said, ".")
	if !shortened || len(short) < 3 {
		return 0
	}
	if w, ok := weights[short]; ok {
		return w
	}
	best := 0.0
	for full, w := range weights {
		if strings.HasPrefix(full, short) {
			best = max(best, w)
		}
	}
	return best
}

// distinctive weighs the words of each version of a slot: 1 where no other version has
// the word, less the more of them do. Words of its look count half.
func distinctive(s *refbook.Slot) map[string]map[string]float64 {
	names := map[string]map[string]float64{}
	count := map[string]int{}
	for i := range s.Variants {
		v := &s.Variants[i]
		has := map[string]float64{}
		for text, weight := range map[string]float64{v.Name: 1, strings.ReplaceAll(v.ID, "-", " "): 1, v.Look: 0.5} {
			for _, w := range strings.FieldsFunc(strings.ToLower(text),
				func(c rune) bool { return !unicode.IsLetter(c) }) {
				st := stem(w)
				if len(st) < 3 || general().filler[w] || slotWords(s.Slot)[st] {
					continue
				}
				if colours[st] {
					weight *= 2 // people name the colour first
				}
				has[st] = max(has[st], weight)
			}
		}
		names[v.ID] = has
		for st := range has {
			count[st]++
		}
	}
	for _, has := range names {
		for st, w := range has {
			switch n := count[st]; {
			case n == len(s.Variants) && n > 1:
				delete(has, st)
			default:
				has[st] = w / float64(n)
			}
		}
	}
	return names
}

// slotWords are the slot's own names, which tell nothing.
func slotWords(slot evidence.Slot) map[string]bool {
	out := map[string]bool{}
	for _, say := range general().Slots[string(slot)] {
		for _, w := range strings.Fields(say) {
			if w != "inlay" && w != "insert" && w != "buckle" {
				out[stem(w)] = true
			}
		}
	}
	return out
}

// metal proposes the case metal where the text names one of the maker's beside the
// reference or the case.
func (r *reader) metal() {
	for _, e := range r.ev {
		id, ok := e.is(isMetal)
		if !ok || r.used[e.first] || e.first > 14 {
			continue
		}
		for _, m := range r.maker.Metals {
			if m.ID == id && (r.ref.Metal == id || strings.HasPrefix(id, "gold") || id == "steel") {
				r.propose(
					&evidence.Fitted{Slot: evidence.Case, Variant: evidence.Unknown, Metal: id},
					e.first,
					e.last,
					0.7,
				)
				return
			}
		}
	}
}
