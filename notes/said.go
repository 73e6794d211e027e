package notes

import (
	"cmp"
	"slices"
	"strings"

	"midcase/evidence"
)

// Said is something that a text says of a watch and that is no item of evidence: a word
// that the caller looks for, a metal, or that a fault is not there.
type Said struct {
	About  string          // the caller's name for the words, or one of the names below
	Term   string          // of SaidNoFault the fault, of SaidMetal the metal as general vocabulary names it
	Slots  []evidence.Slot // of which parts; none for the whole watch
	Denied bool            // "not rare", "never water resistant"
	Span
}

// What ReadSaid finds beside the caller's words.
const (
	SaidNoFault = "no fault" // "no rust", "free of spots"
	SaidMetal   = "metal"    // "18k yellow gold"
	SaidDoubt   = "doubt"    // "cannot tell", "not sure"
	SaidPart    = "part"     // a part is named
)

// denial is a fault that the text says is not there.
type denial struct {
	term        string
	slot        evidence.Slot
	first, last int
}

// ReadSaid reads a text as Read does and finds words of the caller's in it too, by his
// own names for them. A word that ends with * stands for all words that begin so. What
// is found says of which parts it is said and whether the text denies it.
func ReadSaid(text string, opt Options, about map[string][]string) (Reading, []Said) {
	opt.Language = cmp.Or(opt.Language, "en") // the caller's words are English
	r := newReader(text, opt)
	r.heads()
	r.codes()
	r.scan()
	r.sections()
	r.read()
	var out []Said
	add := func(name, term string, first, last int, slots []evidence.Slot) {
		out = append(out, Said{About: name, Term: term, Slots: slots, Denied: r.deniedAt(first),
			Span: Span{r.words(first, last), r.all[first].from, r.all[last].to}})
	}
	for _, d := range r.denials {
		add(SaidNoFault, d.term, r.denialBegins(d.first), d.last, []evidence.Slot{d.slot})
	}
	for _, e := range r.ev {
		if id, ok := e.is(isMetal); ok {
			add(SaidMetal, id, e.first, e.last, r.slotsSaidOf(e.first, e.last))
		}
		if e.role == isDoubt && r.all[e.first].norm != "?" {
			add(SaidDoubt, "", e.first, e.last, r.slotsSaidOf(e.first, e.last))
		}
		if id, ok := r.slotOfEvent(e); ok {
			add(SaidPart, "", e.first, e.last, []evidence.Slot{id})
		}
	}
	for _, m := range r.find(about) {
		add(m.id, "", m.first, m.last, r.slotsSaidOf(m.first, m.last))
	}
	slices.SortStableFunc(out, func(a, b Said) int { return a.From - b.From })
	return r.reading(), out
}

// find looks for words of the caller's, the longest first at each token.
func (r *script) find(about map[string][]string) []event {
	own := &lexicon{byFirst: map[string][]phrase{}}
	for name, words := range about {
		own.add(role(name), name, words)
	}
	var out []event
	for i := 0; i < len(r.all); i++ {
		found := own.at(r.all, i)
		last := i
		for _, p := range found {
			out = append(out, event{id: p.id, first: i, last: i + len(p.words) - 1})
			last = max(last, i+len(p.words)-1)
			if len(p.words) < len(found[0].words) {
				out, last = out[:len(out)-1], max(last, i)
			}
		}
		i = last
	}
	return out
}

// slotOfEvent is the part that an event names, by its name or by a feature of it.
func (r *passage) slotOfEvent(e event) (evidence.Slot, bool) {
	if id, ok := e.is(isSlot); ok {
		return evidence.Slot(id), true
	}
	if f, ok := e.is(isFeature); ok {
		return evidence.Slot(r.Features[f].Slot), true
	}
	return "", false
}

// slotsSaidOf lists the parts of which words are said: those named right behind them
// ("original dial and hands"), else those named before them in the sentence ("dial and
// hands are original"), none for the whole watch.
func (r *passage) slotsSaidOf(first, last int) []evidence.Slot {
	if behind := r.slotsBehind(last); len(behind) > 0 && !r.predicate(first) {
		return behind
	}
	var out []evidence.Slot
	in := r.sentence(first)
	for i := in.first; i < first; i++ {
		if k := r.at[i]; k >= 0 && r.ev[k].first == i {
			if slot, ok := r.slotOfEvent(r.ev[k]); ok && !r.onlyPlace(r.ev[k]) && !slices.Contains(out, slot) {
				out = append(out, slot)
			}
		}
		if r.all[i].norm == ";" || r.all[i].norm == "but" {
			out = nil
		}
	}
	if len(out) == 0 && r.predicate(first) {
		return r.slotsBehind(last)
	}
	return out
}

// slotsBehind lists the parts named behind words, joined by commas and "and".
func (r *passage) slotsBehind(last int) []evidence.Slot {
	const gap = 3
	var out []evidence.Slot
	for i, since := last+1, 0; i < len(r.all) && since <= gap && !r.ends(i); i++ {
		since++
		n := r.all[i].norm
		if n == "to" || n == "but" || n == ":" || n == "(" || r.all[i].norm == "," && len(out) == 0 {
			break
		}
		if k := r.at[i]; k >= 0 {
			if slot, ok := r.slotOfEvent(r.ev[k]); ok {
				if !slices.Contains(out, slot) {
					out = append(out, slot)
				}
				since, i = 0, max(i, r.ev[k].last)
			}
		}
	}
	return out
}

// deniedAt reports whether a negation reaches a token: in the sentence, at most five
// words before it, with no closer and no other part between.
func (r *passage) deniedAt(i int) bool { return r.denialBegins(i) < i }

// denialBegins is the token at which the negation of a token begins, or the token.
func (r *passage) denialBegins(i int) int {
	const reach = 5
	left := reach
	for j := i - 1; j >= 0 && left > 0 && !r.ends(j); j-- {
		if strings.ContainsAny(r.all[j].norm, ",:;()") {
			return i
		}
		left--
		k := r.at[j]
		if k < 0 {
			continue
		}
		if r.ev[k].role == isNegation {
			return r.ev[k].first
		}
		if r.ev[k].endsDenial() {
			return i
		}
		j = r.ev[k].first
	}
	return i
}
