package notes

import (
	"sort"
	"strings"

	"midcase/evidence"
)

// scan finds the phrases and figures of the text, from left to right, the longest
// phrase first.
func (r *passage) scan() {
	for i := 0; i < len(r.all); {
		if k := r.at[i]; k >= 0 {
			i = r.ev[k].last + 1
			continue
		}
		e, ok := r.eventAt(i)
		if !ok {
			i++
			continue
		}
		r.cover(e)
		i = e.last + 1
	}
	sort.SliceStable(r.ev, func(i, j int) bool { return r.ev[i].first < r.ev[j].first })
	for k, e := range r.ev {
		for i := e.first; i <= e.last; i++ {
			r.at[i] = k
		}
	}
}

func (r *script) eventAt(i int) (event, bool) {
	phrases := r.at1(i)
	if n, ok := numberAt(r.all, i); ok &&
		(len(phrases) == 0 || len(phrases[0].words) <= n.last-i+1 || r.all[i].kind == figure) {
		if hour, is := r.hourBefore(i, n); is {
			n = hour
		}
		if r.all[i].kind == figure || !r.asWord(i, n) {
			return event{role: isNumber, first: n.first, last: n.last, n: n}, true
		}
	}
	if r.saysNo(i) {
		return event{role: isCorrection, first: i, last: i}, true
	}
	if len(phrases) == 0 {
		return event{}, false
	}
	p := phrases[0]
	return event{role: p.role, id: p.id, first: i, last: i + len(p.words) - 1, also: phrases[1:]}, true
}

// hourBefore parts an hour from the size that is said right behind it: "cracked by eleven, thirty three point eight across".
func (r *script) hourBefore(i int, n number) (number, bool) {
	const hours = 12
	if !n.spoken || n.fraction == "" || len(n.pieces) < 2 {
		return n, false
	}
	switch r.at0(i - 1) {
	case "at", "by", "near", "beside", "below", "above":
	default:
		return n, false
	}
	p := speller{all: r.all, at: i}
	piece, ok := p.piece()
	hour := number{first: i, last: p.at - 1, pieces: []string{piece}, spoken: true}
	return hour, ok && hour.value() >= 1 && hour.value() <= hours
}

// saysNo reports whether "no" takes back what was said: "plain ... no, the decimal one", "champagne?? no - black".
func (r *script) saysNo(i int) bool {
	if r.all[i].norm != "no" || i < 1 || i+1 >= len(r.all) {
		return false
	}
	before, after := r.at0(i-1), r.at0(i+1)
	return strings.Contains(",.?!-–…", before) && r.all[i-1].kind == mark && (after == "," || after == "-" || after == "–" || after == "…") &&
		!(after == "-" && r.all[i+1].joined)
}

// asWord reports whether "one" and the like stand for no figure ("the one with the bar",
// "one bent near the tip").
func (r *script) asWord(i int, n number) bool {
	if n.last != i || r.all[i].norm != "one" {
		return false
	}
	switch r.at0(i - 1) {
	case "plus", "minus", "+", "-", "gains", "loses", "at":
		return false
	}
	return true
}

// at1 returns the phrases at token i that are as long as the longest one and can stand
// there.
func (r *script) at1(i int) []phrase {
	var out []phrase
	for _, p := range r.lexicon.at(r.all, i) {
		if len(out) > 0 && len(p.words) < len(out[0].words) {
			break
		}
		if r.canStand(p, i) {
			out = append(out, p)
		}
	}
	return out
}

// canStand keeps very short words from being taken for what they only sometimes mean.
func (r *script) canStand(p phrase, i int) bool {
	first, next := r.all[i], i+len(p.words)
	if p.role == isDegree && len(p.words) == 1 && first.norm == "one" ||
		p.role == isDegree && first.kind == figure && len(p.words) == 1 {
		return false
	}
	if p.role == isCorrection && (first.norm == "but" || first.norm == "and") && r.goesOnSaying(next) {
		return false
	}
	if p.role == isMark && len(p.words) > 1 && p.words[len(p.words)-1] == "no" && !r.longFigureAt(next) {
		return false // "mvt no rust"
	}
	if len(p.words) > 1 {
		return p.role != isMark || p.id != "date_stamp" || r.figureAt(next)
	}
	switch first.norm {
	case "b", "p":
		return first.text != first.norm || i > 0 && r.all[i-1].norm == "no"
	case "no", "nr", "num":
		return (p.role == isMark) == r.longFigureAt(next) || first.norm != "no" && p.role == isMark
	case "be", "amp", "beat":
		return p.role != isRate || r.figureAt(next)
	case "mv":
		return r.longFigureAt(next)
	case "w":
		return p.role != isDimension || r.figureAt(next)
	case "wt", "hd":
		return true
	case "g", "gr", "j", "x", "k", "ct", "h":
		return i > 0 && r.all[i-1].kind == figure
	case "s", "o":
		return false
	case "out", "off", "old", "round", "fat":
		return true
	case "may", "mar":
		return false
	case "cleaned": // "cleaned 5/24"
		return p.role != isService || next < len(r.all) && r.all[next].kind == figure
	case "dd": // "dd 11.66" is a date
		return p.role != isPosition || !r.monthAndYear(next)
	case "st", "pg", "rg", "wg", "yg", "ss":
		return p.role != isMetal || i < 12
	}
	return true
}

// goesOnSaying reports whether words that could take something back only begin to say the next: "but no corrosion", "and
// it hasn't seen a wheel".
func (r *script) goesOnSaying(next int) bool {
	last := r.at0(next - 1)
	if last != "no" && !strings.HasSuffix(last, "nt") {
		return false
	}
	switch r.at0(next) {
	case "been", "seen", "got", "had", "any", "a", "the", "that", "as", "too", "so", "very", "much", "at", "visible", "obvious",
		"sign", "signs", "trace", "traces":
		return true
	}
	if next >= len(r.all) {
		return false
	}
	for _, p := range r.lexicon.at(r.all, next) {
		if p.role == isTerm || p.role == isQuality || p.role == isDegree {
			return true
		}
	}
	return false
}

// monthAndYear reports whether "11.66" or "11/66" follows.
func (r *script) monthAndYear(i int) bool {
	if i >= len(r.all) || r.all[i].kind != figure {
		return false
	}
	n := typedNumber(r.all, i)
	month := n.digits()
	if sep := r.at0(n.last + 1); n.whole() && sep == "/" && n.last+2 < len(r.all) && r.all[n.last+2].kind == figure {
		n.fraction = r.all[n.last+2].text
	}
	return len(month) <= 2 && month <= "12" && (len(n.fraction) == 2 && n.fraction > "29" || len(n.fraction) == 4)
}

func (r *script) figureAt(i int) bool {
	if i < len(r.all) && r.all[i].kind == mark && r.all[i].norm == "." {
		i++
	}
	if i >= len(r.all) {
		return false
	}
	_, ok := numberAt(r.all, i)
	return ok
}

// longFigureAt reports whether a number of three digits or more follows, as a number
// on a watch has.
func (r *script) longFigureAt(i int) bool {
	if i < len(r.all) && r.all[i].kind == mark && strings.Contains(".:", r.all[i].norm) {
		i++
	}
	if i >= len(r.all) {
		return false
	}
	n, ok := numberAt(r.all, i)
	return ok && len(n.digits()) >= 3
}

// sections notes from where on which slot is spoken of. A slot named only to say where
// something is ("whiter than the dial", "spots around the date") opens none.
func (r *passage) sections() {
	for k, e := range r.ev {
		id, ok := e.is(isSlot)
		slot := evidence.Slot(id)
		if !ok {
			if f, is := e.is(isFeature); is {
				slot = evidence.Slot(r.Features[f].Slot)
				if r.keepsSlot(f, k) {
					continue
				}
			} else if kind, _, code := strings.Cut(e.id, ":"); e.role == isCode && code {
				switch kind {
				case "calibre":
					slot = evidence.Movement
				case string(evidence.Bracelet), string(evidence.EndPieces):
					slot = evidence.Slot(kind)
				default:
					continue
				}
			} else {
				continue
			}
		}
		if !r.onlyPlace(e) {
			r.opens = append(r.opens, opening{slot, k})
		}
	}
}

// keepsSlot reports whether a feature can belong to the slot spoken of, so that it opens
// none: lume on the hands, bevels of a bracelet.
func (r *passage) keepsSlot(feature string, ev int) bool {
	cur := r.slotBefore(ev)
	switch feature {
	case "lume":
		return cur == evidence.Hands || cur == evidence.Bezel
	case "edges", "finish":
		return cur == evidence.Case || cur == evidence.Bezel || cur == evidence.Bracelet
	case "plating":
		return cur != "" && cur != evidence.Dial && cur != evidence.Papers && cur != evidence.Box
	case "number_mark":
		return cur == evidence.CaseBack || cur == evidence.Clasp || cur == evidence.Case
	case "thread", "stem":
		return cur == evidence.Pushers || cur == evidence.CaseBack
	case "lugs", "lug_hole", "flanks":
		return cur == evidence.Case
	case "hinge":
		return cur == evidence.Clasp
	case "print":
		if n := r.all[r.ev[ev].first].norm; n == "signature" || n == "logo" {
			return cur != "" && cur != evidence.Hands
		}
		return cur == evidence.Bezel || cur == evidence.Papers || cur == evidence.Dial
	case "lacquer", "markers":
		return cur == evidence.Bezel || cur == evidence.Papers || cur == evidence.Dial
	}
	return false
}

// slotBefore is the slot spoken of just before an event.
func (r *passage) slotBefore(ev int) evidence.Slot {
	if len(r.opens) == 0 {
		return ""
	}
	return r.opens[len(r.opens)-1].slot
}

var comparing = map[string]bool{
	"than":    true,
	"around":  true,
	"near":    true,
	"beside":  true,
	"between": true,
	"under":   true,
	"against": true,
	"by":      true,
	"below":   true,
	"above":   true,
	"from":    true,
	"at":      true,
	"like":    true,
	"without": true,
	"matches": true,
	"match":   true,
}

// onlyPlace reports whether a slot is named after a word that makes it a place or a
// thing to compare with.
func (r *script) onlyPlace(e event) bool {
	i := e.first - 1
	for i >= 0 && (r.all[i].norm == "the" || r.all[i].norm == "its" || r.all[i].norm == "a") {
		i--
	}
	if i > 0 && r.all[i].norm == "at" && strings.HasPrefix(r.all[i-1].norm, "look") {
		return false
	}
	if r.all[max(i, 0)].norm == "match" && r.at0(i-1) == "to" && i == e.first-1 {
		return false // "relumed to match bezel worn"
	}
	return i >= 0 && comparing[r.all[i].norm]
}

// slotAt is the slot spoken of at a token; empty where none was named.
func (r *passage) slotAt(i int) evidence.Slot {
	slot := evidence.Slot("")
	for _, o := range r.opens {
		if r.ev[o.ev].first > i {
			break
		}
		slot = o.slot
	}
	return slot
}

// sentence is the stretch between full stops around a token.
func (r *script) sentence(i int) reach {
	w := reach{i, i}
	for w.first > 0 && !r.ends(w.first-1) {
		w.first--
	}
	for w.last+1 < len(r.all) && !r.ends(w.last+1) {
		w.last++
	}
	return w
}

// speakers notes which words somebody else says. Said behind ("…, says the owner") it
// reaches back, said in front ("the seller swears to …") forward, at most over one
// sentence, and in text without punctuation over a few words.
func (r *reader) speakers() {
	const back, ahead = 8, 14
	for _, e := range r.ev {
		if e.role != isSpeaker {
			continue
		}
		s := r.sentence(e.first)
		behind := e.first > s.first+1
		switch r.all[e.first].norm {
		case "the", "seller", "owner", "he", "she", "they", "swears", "claims", "allegedly", "supposedly":
			behind = e.last >= s.last-1
		}
		w := reach{e.last + 1, min(s.last, e.last+ahead)}
		for i := w.first; i <= w.last; i++ {
			if r.at0(i) == "which" || r.at0(i) == "but" || i > w.first && r.at0(i) == "no" && boxOrPapers[r.at0(i+1)] {
				w.last = i - 1
			}
		}
		if behind {
			w = reach{max(s.first, e.first-back), e.first - 1}
			for _, o := range r.opens {
				if at := r.ev[o.ev].first; at > w.first && at < e.first && r.ev[o.ev].role == isSlot {
					w.first = at
				}
			}
		}
		if behind {
			w.first = max(w.first, r.afterFigure(w))
		}
		r.use(e.first, e.last)
		r.claims = append(r.claims, w)
	}
}

// boxOrPapers are what anybody sees to be there or not, whoever spoke before.
var boxOrPapers = map[string]bool{"box": true, "papers": true, "guarantee": true, "strap": true, "bracelet": true}

// afterFigure is where a stretch goes on behind its last figure, where something to claim
// follows that figure.
func (r *passage) afterFigure(w reach) int {
	from, tells := w.first, false
	for k := len(r.ev) - 1; k >= 0; k-- {
		e := r.ev[k]
		if e.last > w.last || e.first < w.first {
			continue
		}
		if e.role == isNumber && tells {
			return e.last + 1
		}
		tells = tells || e.has(isTerm, isQuality, isService, isTopic)
	}
	return from
}

// said reports whether somebody else says the words at a token.
func (r *reader) said(i int) bool {
	for _, w := range r.claims {
		if w.holds(i) {
			return true
		}
	}
	return false
}
