package notes

import (
	"strings"

	"midcase/evidence"
)

// figures gives every number its meaning by the words before and behind it.
func (r *reader) figures() {
	r.rates()
	for k := range r.ev {
		if r.ev[k].role == isCode {
			r.calibre(k)
		}
	}
	for k := range r.ev {
		if e := r.ev[k]; e.role == isNumber && !r.used[e.first] {
			r.figure(k)
		}
	}
}

// calibre proposes the mark of a calibre.
func (r *reader) calibre(k int) {
	e := r.ev[k]
	kind, id, _ := strings.Cut(e.id, ":")
	if kind != "calibre" {
		return
	}
	first := e.first
	if k > 0 {
		if s, ok := r.ev[k-1].is(isSlot); ok && s == string(evidence.Movement) && e.first-r.ev[k-1].last <= 3 &&
			!r.sentenceBreak(r.ev[k-1].last, e.first) {
			first = r.ev[k-1].first
		}
	}
	r.propose(&evidence.Mark{What: evidence.MarkCalibre, Text: id, Slot: evidence.Movement}, first, e.last, 0.95)
}

// figure reads one number.
func (r *reader) figure(k int) {
	e := r.ev[k]
	if r.notMeant(e) {
		return
	}
	if r.correctsMark(k) || r.weight(k) || r.watchNumber(k) || r.bareSerial(k) || r.length(k) {
		return
	}
}

// notMeant reports whether the unit behind says that the number is nothing to record:
// jewels, karat, years, times.
func (r *passage) notMeant(e event) bool {
	j := e.last + 1
	if j < len(r.all) && r.at[j] >= 0 {
		if id, ok := r.ev[r.at[j]].is(isRate); ok && id == "other" {
			return r.at0(j) != "x" || !r.figureAt(j+1)
		}
	}
	return false
}

// weight reads "weighs 29.4", "head 48,6 g".
func (r *reader) weight(k int) bool {
	e := r.ev[k]
	first, last, said := e.first, e.last, false
	if j := e.last + 1; j < len(r.all) && r.at[j] >= 0 && r.ev[r.at[j]].role == isWeighs && !r.numberSoon(r.ev[r.at[j]].last) {
		last, said = j, true
	}
	if k > 0 && r.ev[k-1].role == isWeighs && len(r.at0(r.ev[k-1].last)) > 3 && e.first-r.ev[k-1].last <= 2 {
		first, said = r.ev[k-1].first, true
	}
	if w := r.at0(e.first - 1); w == "w" && r.at0(e.last+1) == "head" {
		first, said = e.first-1, true
	}
	v, ok := e.n.within(2, 400)
	if !said || !ok {
		return false
	}
	what := "watch"
	if first < e.first && r.at0(first) == "head" {
		what = "head"
	}
	s := r.sentence(e.first)
	for j, o := range r.ev {
		if !o.has(isHead) || o.first < max(s.first, e.first-4) || o.last > min(s.last, e.last+5) {
			continue
		}
		what = "head"
		first, last = min(first, r.ev[j].first), max(last, o.last)
	}
	if what == "watch" && r.slotAt(e.first) == evidence.Bracelet && r.at0(first-1) == "bracelet" {
		what = string(evidence.Bracelet)
	}
	r.propose(&evidence.Weighing{What: what, G: v, In: "air"}, first, last, 0.9)
	return true
}

// numberSoon reports whether a figure in words follows a token at once, so that "head weighs" is said of that one.
func (r *script) numberSoon(i int) bool {
	n, ok := r.numberEvent(i + 1)
	return ok && n.spoken
}

// bounds are the sizes in mm that a dimension of a wrist or pocket watch can have.
var bounds = map[string][2]float64{
	"lug_thickness": {
		0.8,
		6,
	}, "lug_to_lug": {25, 65}, "lug_width": {8, 26}, "mid_case_diameter": {12, 60}, "crown_diameter": {2, 11},
	"thickness": {
		3,
		25,
	}, "bracelet_length": {60, 260}, "crystal_diameter": {10, 50}, "bezel_diameter": {12, 60}, "dial_diameter": {8, 50},
}

// length reads a size by the words around it; the nearest that allow it win.
func (r *reader) length(k int) bool {
	e := r.ev[k]
	switch r.at0(e.first - 1) {
	case "at", "near", "nr", "beside", "around":
		return false // a place
	}
	mm := r.at0(e.last+1) == "mm" || strings.HasPrefix(r.at0(e.last+1), "millim")
	last := e.last
	if mm {
		last++
	}
	for _, d := range r.dimensionsNear(k, mm) {
		b := bounds[d.what]
		v, ok := e.n.within(b[0], b[1])
		if !ok {
			continue
		}
		if r.againstBook(e) {
			r.use(e.first, last)
			return false
		}
		r.dropCorrected(d.what, e.first)
		r.propose(&evidence.Dimension{What: d.what, MM: v}, min(d.first, e.first), max(last, d.last), 0.9)
		return true
	}
	return r.bySecond(k)
}

// againstBook reports whether a size is only named to compare with ("against two point
// eight", "should be 38").
func (r *script) againstBook(e event) bool {
	before := r.at0(e.first - 1)
	return before == "against" || before == "versus" || before == "vs" ||
		before == "of" && r.at0(e.first-2) == "instead" ||
		before == "be" && r.at0(e.first-2) == "should"
}

// dropCorrected takes back a size that was corrected in the same breath.
func (r *reader) dropCorrected(what string, at int) {
	n := len(r.out) - 1
	if n < 0 {
		return
	}
	d, ok := r.out[n].Data.(*evidence.Dimension)
	if !ok || d.What != what {
		return
	}
	for i := max(0, at-3); i < at; i++ {
		if w := r.at0(i); w == "no" || w == "sorry" || w == "wait" || w == "rather" || w == "correction" {
			r.out = r.out[:n]
			return
		}
	}
}

// naming of a dimension and the tokens that name it.
type dimensionSaid struct {
	what        string
	first, last int
}

// dimensionsNear finds the words that say what a size is of, the likeliest first: right
// before the number, right behind it, before it within four words.
func (r *passage) dimensionsNear(k int, mm bool) []dimensionSaid {
	e := r.ev[k]
	var out []dimensionSaid
	if b, ok := r.dimensionBefore(k, 1); ok && !r.used[b.first] {
		out = append(out, b)
	}
	if k+1 < len(r.ev) {
		next := r.ev[k+1]
		after := next.first - e.last
		if mm {
			after--
		}
		if id, ok := next.is(isDimension); ok && after <= 1 && id != "crown_diameter" &&
			!r.between(e.last, next.first) &&
			(id != "lug_width" || strings.HasPrefix(r.at0(next.first), "between") || r.at0(next.first) == "at" || mm && (!r.figureSoon(next.last) || r.at0(next.last+1) == ",")) {
			out = append(out, dimensionSaid{id, e.first, next.last})
		}
	}
	if b, ok := r.dimensionBefore(k, 4); ok {
		out = append(out, b)
	}
	switch s := r.slotAt(e.first); {
	case s == evidence.Crown && !e.n.whole():
		out = append(out, dimensionSaid{"crown_diameter", e.first, e.last})
	case (s == evidence.Bracelet || s == evidence.EndPieces || s == evidence.Clasp) && mm:
		out = append(out, dimensionSaid{"bracelet_length", e.first, e.last})
	}
	if r.thicknessOfLugs(k) {
		out = append(out, dimensionSaid{"lug_thickness", e.first, e.last})
	}
	if r.firstOfTwo(e) || mm && r.sizeOfWatch(e) || r.bareSize(k) {
		out = append(out, dimensionSaid{"mid_case_diameter", e.first, e.last})
	}
	return out
}

// figureSoon reports whether a figure follows a token at once, so that what is named there is of that
// figure: "36.3 mm, lug width 18".
func (r *script) figureSoon(i int) bool {
	for j := i + 1; j <= i+2 && j < len(r.all) && !r.ends(j); j++ {
		if r.all[j].kind == figure {
			return true
		}
	}
	return false
}

// dimensionBefore finds a dimension named at most so many words before a number.
func (r *passage) dimensionBefore(k, reach int) (dimensionSaid, bool) {
	e := r.ev[k]
	for j := k - 1; j >= 0 && e.first-r.ev[j].last <= reach; j-- {
		b := r.ev[j]
		if r.sentenceBreak(b.last, e.first) {
			break
		}
		if id, ok := b.is(isDimension); ok {
			return dimensionSaid{id, b.first, b.last}, true
		}
		if s, ok := b.is(isSlot); ok && s == string(evidence.Crown) && !e.n.whole() {
			return dimensionSaid{"crown_diameter", b.first, b.last}, true
		}
		if b.role == isSlot || b.role == isNumber || b.role == isTerm || b.role == isCode || b.role == isMark {
			break
		}
	}
	return dimensionSaid{}, false
}

// thicknessOfLugs reports whether a figure with decimals is how thick a lug is: "the lugs are thin, 2.1
// left and 2.2 on the right".
func (r *passage) thicknessOfLugs(k int) bool {
	e := r.ev[k]
	if _, ok := e.n.within(0.8, 4); !ok || e.n.whole() {
		return false
	}
	for j := k - 1; j >= 0 && !r.sentenceBreak(r.ev[j].last, e.first); j-- {
		if id, ok := r.ev[j].is(isFeature); ok && id == "lugs" {
			return true
		}
		if r.ev[j].role == isSlot && r.opensAt(j) || r.ev[j].role == isRate {
			return false
		}
	}
	return false
}

// firstOfTwo reports whether a number is the first of "35 x 18" or "35.1 / 18 mm".
func (r *script) firstOfTwo(e event) bool {
	sep := r.at0(e.last + 1)
	if sep == "mm" {
		sep = r.at0(e.last + 2)
	}
	if sep != "x" && sep != "×" && sep != "by" && sep != "/" {
		return false
	}
	for j := e.last + 2; j <= e.last+3; j++ {
		if next, ok := r.numberEvent(j); ok {
			v, fits := e.n.within(18, 50)
			w, second := next.within(8, 26)
			return fits && second && w < 0.7*v
		}
	}
	return false
}

// sizeOfWatch reports whether a bare size in mm is the watch's own.
func (r *passage) sizeOfWatch(e event) bool {
	if _, ok := e.n.within(18, 50); !ok {
		return false
	}
	switch r.slotAt(e.first) {
	case "", evidence.Case, evidence.Movement:
		return true
	}
	return r.startsClause(e.first)
}

// bareSize reports whether a figure with one decimal can only be the watch's size: "case 37.3", "thirty four point
// nine, eighteen between the lugs".
func (r *passage) bareSize(k int) bool {
	e := r.ev[k]
	if _, ok := e.n.within(25, 48); !ok || len(e.n.fraction) > 1 || e.n.sign != 0 {
		return false
	}
	if s, ok := r.slotOfEvent(r.ev[max(0, k-1)]); k > 0 && ok && s == evidence.Case && (r.ev[k-1].last == e.first-1 ||
		r.ev[k-1].last == e.first-2 && r.at0(e.first-1) == "is") {
		return true
	}
	if e.n.whole() {
		return false
	}
	if k+2 < len(r.ev) && r.ev[k+1].role == isNumber && r.ev[k+1].first-e.last <= 2 {
		id, ok := r.ev[k+2].is(isDimension)
		return ok && id == "lug_width" && r.ev[k+2].first-r.ev[k+1].last <= 2
	}
	return false
}

// numberEvent is the number at a token.
func (r *script) numberEvent(i int) (number, bool) {
	if i >= len(r.all) {
		return number{}, false
	}
	return numberAt(r.all, i)
}

func (r *script) startsClause(i int) bool {
	return i == 0 || r.all[i-1].kind == mark || r.all[i-1].kind == line || r.at0(i-1) == "it" || r.at0(i-1) == "is"
}

// bySecond reads the second of two sizes, "35 by 18" or "35 x 18": a width between the
// lugs where it is about half of the first.
func (r *reader) bySecond(k int) bool {
	e := r.ev[k]
	if k == 0 || len(r.out) == 0 {
		return false
	}
	sep := r.at0(e.first - 1)
	if sep != "by" && sep != "x" && sep != "×" && sep != "/" {
		return false
	}
	last := e.last
	if r.at0(last+1) == "mm" {
		last++
	}
	d, ok := r.out[len(r.out)-1].Data.(*evidence.Dimension)
	v, fits := e.n.within(8, 26)
	if !ok || d.What != "mid_case_diameter" || !fits || v > 0.7*d.MM {
		return false
	}
	r.propose(&evidence.Dimension{What: "lug_width", MM: v}, e.first-1, last, 0.75)
	return true
}
