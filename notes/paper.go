package notes

import (
	"slices"

	"midcase/evidence"
)

// papers proposes what came with the watch and what did not, documents with their dates,
// and service.
func (r *reader) papers() {
	for k := range r.ev {
		switch e := r.ev[k]; {
		case e.role == isService:
			r.service(k)
		default:
			if id, ok := e.is(isDocument); ok && !r.used[e.first] && !r.missing(k) {
				r.document(k, id)
			} else if _, ok := e.is(isSlot); ok && !r.used[e.first] {
				if !r.missing(k) {
					r.boxThere(k)
				}
			}
		}
	}
}

// missing proposes a slot as empty: "no box", "box no", "neither box nor guarantee",
// "papers missing".
func (r *reader) missing(k int) bool {
	e := r.ev[k]
	id, ok := e.is(isSlot)
	if !ok || !r.canBeAbsent(k) {
		return false
	}
	slot := evidence.Slot(id)
	first, last, absent := e.first, e.last, false
	switch {
	case r.negatedRightBefore(k) && r.answersPart(e.first) && r.at0(e.first-1) == "no" && k > 1 && r.deniedBehind(r.ev[k-2]) && r.at0(e.last+1) == "yes":
		return false // "box no papers yes"
	case r.negatedRightBefore(k) && r.boxOrPapers(slot, k):
		first, absent = r.ev[r.denialBefore(k)].first, true
	case k > 1 && r.joinedDenial(k):
		absent = true
	case r.bothDenied(k):
		absent = true
	case r.deniedBehind(e):
		last, absent = r.denialBehind(e), true
	case r.notFound(k) > 0:
		last, absent = r.notFound(k), true
	}
	if !absent {
		return false
	}
	if r.said(first) {
		r.claim(slotName(slot), first, last, 0.8)
		return true
	}
	r.propose(&evidence.Fitted{Slot: slot, Absent: true}, first, last, 0.95)
	return true
}

// negatedRightBefore reports whether a negation stands before an event with no more than
// an article or an adjective between.
func (r *passage) negatedRightBefore(k int) bool {
	j := r.denialBefore(k)
	if j < 0 {
		return false
	}
	last, first := r.ev[j].last, r.ev[k].first
	return last >= first-3 && r.onlyOf(last, first)
}

// denialBefore is the negation before an event, with no more than adjectives between ("no original box"); -1 where
// there is none.
func (r *passage) denialBefore(k int) int {
	j := k - 1
	for j >= 0 && r.ev[j].role == isQuality {
		j--
	}
	if j < 0 || r.ev[j].role != isNegation || r.at0(r.ev[k].last+1) == "yes" { // "buckle isn't the maker's box yes"
		return -1
	}
	if last := r.ev[j].last; r.at0(last) == "none" && r.at0(last+1) != "of" {
		return -1 // it answers what stands before it: "the dial which has none, crown worn"
	}
	return j
}

// boxOrPapers keeps "without strap" beside a weight from saying that there is none, and
// "no crown wear" from taking the crown away.
func (r *passage) boxOrPapers(slot evidence.Slot, k int) bool {
	if slot == evidence.Box || slot == evidence.Papers {
		return true
	}
	e := r.ev[k]
	if j := r.denialBefore(k); j >= 0 && r.at0(r.ev[j].first) == "without" && (slot != evidence.Bracelet || r.weighedNear(e)) {
		return false
	}
	next := k + 1
	return next >= len(r.ev) || r.ev[next].first > e.last+1 ||
		r.ev[next].role != isTerm && r.ev[next].role != isQuality && r.ev[next].role != isFeature
}

// weighedNear reports whether a weight or another figure stands near a part.
func (r *passage) weighedNear(e event) bool {
	const reach = 6
	for i := max(0, e.first-reach); i <= min(len(r.all)-1, e.last+reach); i++ {
		if r.all[i].kind == figure || r.at[i] >= 0 && r.ev[r.at[i]].has(isWeighs, isHead, isNumber) {
			return true
		}
	}
	return false
}

// onlyOf reports whether only articles and adjectives stand between a negation and what
// it denies.
func (r *passage) onlyOf(from, to int) bool {
	for i := from + 1; i < to; i++ {
		if r.ends(i) || r.all[i].kind != word && r.all[i].norm != "." {
			return false
		}
		if r.at[i] >= 0 && r.ev[r.at[i]].role != isQuality {
			return false
		}
	}
	return true
}

// joinedDenial is "no box or papers": the second of two, joined to a denied one.
func (r *passage) joinedDenial(k int) bool {
	e, b := r.ev[k], r.ev[k-1]
	at := k - 1
	if k > 2 && b.first == b.last && r.at0(b.first) == "and" {
		at, b = k-2, r.ev[k-2]
	}
	if _, ok := b.is(isSlot); !ok || !r.canBeAbsent(at) || e.first-b.last != 2 {
		return false
	}
	join := r.at0(e.first - 1)
	if join != "or" && join != "nor" && join != "and" && join != "/" && join != "," {
		return false
	}
	if join == "," && r.saysMore(e.last) {
		return false // "no papers, box worn"
	}
	return at > 0 && r.ev[at-1].role == isNegation && r.onlyOf(r.ev[at-1].last, b.first)
}

// saysMore reports whether more is said right behind a token.
func (r *script) saysMore(last int) bool {
	return last+1 < len(r.all) && (r.all[last+1].kind == word || r.all[last+1].norm == ":") && !r.ends(last+1) &&
		r.at0(last+1) != "or" && r.at0(last+1) != "nor" && r.at0(last+1) != "and"
}

// bothDenied is the first of "box and papers are lost", "B+P: no".
func (r *passage) bothDenied(k int) bool {
	at := r.ev[k].last + 2
	if at >= len(r.all) || r.at[at] < 0 {
		return false
	}
	second := r.ev[r.at[at]]
	id, ok := second.is(isSlot)
	slot := evidence.Slot(id)
	if !ok || slot != evidence.Box && slot != evidence.Papers || !r.deniedBehind(second) {
		return false
	}
	switch r.at0(r.ev[k].last + 1) {
	case "and", "or", "+", "&", "/", ",":
		return true
	}
	return false
}

// deniedBehind is "box no", "P no", "papers: none", "box missing", "B -", and what comes to it in a sentence.
func (r *script) deniedBehind(e event) bool { return r.denialBehind(e) > 0 }

// denialBehind is the last token of such words behind a part; 0 where there are none.
func (r *script) denialBehind(e event) int {
	i, verb := r.verbBehind(e.last + 1)
	switch r.at0(i) {
	case "there": // "of a box there is no sign"
		if w := r.at0(i + 3); r.at0(i+2) == "no" && (w == "sign" || w == "trace" || w == "evidence") {
			return i + 3
		}
		return 0
	case "gone", "lost":
		if id, _ := e.is(isSlot); id != string(evidence.Box) && id != string(evidence.Papers) || r.at0(i+1) == "a" {
			return 0 // the lume on the hands has gone green
		}
	case "no", "none", "missing", "absent", "neither", "nil", "nope":
	case "n", "-", "–", "—": // "bx n, pp n"; "B - / P +"
		return r.signBehind(e, i)
	case "not": // "the box is here, the papers are not"
		if n := r.notThere(i); n > 0 {
			return n
		}
		if i+1 < len(r.all) && r.all[i+1].kind == word {
			return 0
		}
	case "thrown", "long": // "thrown away", "long gone"
		if r.at0(i+1) == "away" || r.at0(i+1) == "out" || r.at0(i+1) == "gone" || r.at0(i+1) == "lost" {
			return i + 1
		}
		return 0
	default:
		return 0
	}
	if i+1 >= len(r.all) || i+2 == len(r.all) && r.all[i+1].kind == line {
		return i
	}
	if next := r.all[i+1]; next.kind == word && verb {
		if r.ofAPart(e.first) {
			return 0 // "the lid of the box is gone"
		}
		switch next.norm { // "the box is missing its lid"
		case "its", "a", "an", "the", "one", "some", "in", "from", "at", "on":
			if r.at0(i) == "missing" {
				return 0
			}
		}
		return i
	}
	if r.at0(i) == "no" && !verb && r.answersPart(i+1) {
		return i // "papers no box no"
	}
	if r.at0(i) == "no" && !verb && r.at0(e.first-1) == "yes" {
		return i // "box yes papers no comes from an estate"
	}
	if next := r.at0(i + 1); r.at0(i) != "no" && !verb && (next == "box" || next == "papers" || next == "guarantee" || next == "no" || next == "but" || next == "and") {
		return i // "papers missing box present"
	}
	begins := e.first == 0 || r.all[e.first-1].kind == mark || r.all[e.first-1].kind == line
	if next := r.all[i+1]; begins && (next.kind == mark || next.kind == line) {
		return i
	}
	return 0
}

// answersPart reports whether box or papers stand at a token with yes or no behind them.
func (r *script) answersPart(i int) bool {
	switch r.at0(i) {
	case "box", "papers", "guarantee", "paper", "bracelet", "strap":
	default:
		return false
	}
	switch r.at0(i + 1) {
	case "yes", "no", "none":
		return true
	}
	return false
}

// verbBehind skips "is", "are sadly", ":" and the like; verb reports whether it was one.
func (r *script) verbBehind(i int) (next int, verb bool) {
	switch r.at0(i) {
	case "is", "are", "was", "were", "has", "have", "got", "went":
		verb = true
		i++
	case ":", "=", "(":
		i++
	}
	for verb && r.lossAdverb(i) {
		i++
	}
	return i, verb
}

func (r *script) lossAdverb(i int) bool {
	switch r.at0(i) {
	case "unfortunately", "sadly", "alas", "been", "long", "also", "both", "now", "probably", "apparently", "since":
		return true
	}
	return false
}

// notThere is "not there", "not with it", "not included".
func (r *script) notThere(i int) int {
	switch r.at0(i + 1) {
	case "there", "included", "present", "here", "available", "supplied", "preserved":
		return i + 1
	case "with":
		return i + 2
	}
	return 0
}

// ofAPart reports whether "of the" stands before a token.
func (r *script) ofAPart(i int) bool {
	j := i - 1
	for j >= 0 && (r.at0(j) == "the" || r.at0(j) == "its" || r.at0(j) == "original") {
		j--
	}
	return r.at0(j) == "of"
}

// signBehind reads a dash, or the letter n, behind a part as no, where nothing else follows it.
func (r *script) signBehind(e event, i int) int {
	begins := e.first == 0 || r.all[e.first-1].kind != word
	next := i + 1
	ends := next >= len(r.all) || r.all[next].kind == line || r.all[next].kind == mark && r.all[next].norm != "-" ||
		r.at0(next) == "p" || r.at0(next) == "pp"
	if begins && ends {
		return i
	}
	return 0
}

// boxThere proposes a box that is there.
func (r *reader) boxThere(k int) {
	e := r.ev[k]
	id, _ := e.is(isSlot)
	if evidence.Slot(id) != evidence.Box || slices.ContainsFunc(r.out, func(it Item) bool {
		f, ok := it.Data.(*evidence.Fitted)
		return ok && f.Slot == evidence.Box
	}) {
		return
	}
	behind := r.at0(e.last + 1)
	if behind == "is" {
		behind = r.at0(e.last + 2)
	}
	switch {
	case behind == "yes" || behind == "there" || behind == "here" || behind == "present" || behind == "included":
		r.propose(&evidence.Fitted{Slot: evidence.Box, Variant: evidence.Unknown}, e.first, e.last+1, 0.9)
	case behind == "+" || behind == "y" || behind == "ok":
		r.propose(&evidence.Fitted{Slot: evidence.Box, Variant: evidence.Unknown}, e.first, e.last+1, 0.9)
	case len(r.at0(e.last)) > 1 && r.at0(e.last+1) != "?" && !r.denied(k) && !r.lossNear(e):
		r.propose(&evidence.Fitted{Slot: evidence.Box, Variant: evidence.Unknown}, e.first, e.last, 0.7)
	}
}

// lossNear reports whether words of loss or denial stand near a part in its sentence, so that nothing is taken for granted.
func (r *passage) lossNear(e event) bool {
	const reach = 6
	s := r.sentence(e.first)
	for i := max(s.first, e.first-reach); i <= min(s.last, e.last+reach); i++ {
		switch r.at0(i) {
		case "lost", "gone", "missing", "went", "threw", "thrown", "cannot", "cant", "never", "without", "wish", "if", "for":
			return true
		}
		if k := r.at[i]; k >= 0 && r.ev[k].role == isNegation && !(r.at0(i) == "no" && i > e.last) {
			return true
		}
	}
	return false
}

// notFound is the last token of "the box I cannot find", "the box we no longer have", or of "cannot find the box".
func (r *passage) notFound(k int) int {
	e := r.ev[k]
	if id, _ := e.is(isSlot); id != string(evidence.Box) && id != string(evidence.Papers) {
		return 0
	}
	for j := e.first - 1; j >= max(0, e.first-4); j-- {
		switch r.at0(j) {
		case "the", "a", "any", "its", "original", "find", "have", "got", "longer", "box", "or", "papers", "and":
			continue
		}
		if n := r.at[j]; n >= 0 && r.ev[n].role == isNegation && r.at0(r.ev[n].last+1) != "" {
			for i := r.ev[n].first; i < e.first; i++ {
				if w := r.at0(i); w == "find" || w == "have" {
					return e.last
				}
			}
		}
		break
	}
	for i := e.last + 1; i < min(len(r.all), e.last+6) && !r.ends(i); i++ {
		n := r.at[i]
		if n < 0 || r.ev[n].role != isNegation {
			if r.all[i].kind != word || n >= 0 && r.ev[n].role == isSlot {
				break
			}
			continue
		}
		for j := r.ev[n].first; j <= min(len(r.all)-1, r.ev[n].last+2); j++ {
			if w := r.at0(j); (w == "find" || w == "have") && (j+1 >= len(r.all) || r.all[j+1].kind != word || r.at0(j+1) == "any") {
				return j
			}
		}
		break
	}
	return 0
}

// document proposes a document with its date.
func (r *reader) document(k int, what string) {
	e := r.ev[k]
	if r.doubted(e) && r.at0(e.last+1) == "?" {
		return
	}
	if first := r.negationBefore(k); first < e.first && r.negatedRightBefore(k) { // "no extract yet"
		r.use(first, e.last)
		return
	}
	if r.deniedBehind(e) { // "invoice missing"
		return
	}
	d := &evidence.Document{What: what}
	last := e.last
	date, dated := r.dateNear(e.last+1, 9, false)
	if dated {
		last = date.last
		d.Date = date.date
	}
	if what == "archive_extract" && dated {
		last = max(last, r.madeDate(d, e.last+1, date))
	}
	behind := r.at0(e.last + 1)
	if behind == "is" {
		behind = r.at0(e.last + 2)
	}
	there := dated || what != "papers" || r.at0(e.first-1) == "with" || r.at0(e.first-2) == "with"
	switch behind {
	case "yes", "there", "present", "stamped", "dated", "+", "y", "included":
		there = true
	}
	if !there {
		return
	}
	if !dated && (behind == "yes" || behind == "there" || behind == "present" || behind == "+") {
		last = e.last + 1
	}
	if r.said(e.first) {
		r.claim("papers", e.first, last, 0.8)
		return
	}
	r.propose(d, e.first, last, 0.9)
}

// madeDate sorts the dates of an extract into the day of writing and the date of making;
// it returns the last token read.
func (r *reader) madeDate(d *evidence.Document, from int, first saidDate) int {
	if r.saysMade(from, first.first) {
		d.MadeDate, d.Date = first.date, d.MadeDate
		return first.last
	}
	if second, ok := r.dateNear(first.last+1, 6, false); ok && r.saysMade(first.last+1, second.first) {
		d.MadeDate = second.date
		return second.last
	}
	return first.last
}

func (r *script) saysMade(from, to int) bool {
	for i := from; i < to; i++ {
		switch r.at0(i) {
		case "made", "production", "manufactured", "completed", "finished", "produced":
			return true
		}
	}
	return false
}

// service proposes work on record, or, where it has no date, nothing; what somebody
// else says of it is a claim. "Wants a service" is read elsewhere.
func (r *reader) service(k int) {
	e := r.ev[k]
	switch before := r.at0(e.first - 1); before {
	case "a", "the", "wants", "needs", "later", "new", "last":
		if before != "last" && before != "the" && !r.said(e.first) {
			return
		}
	}
	switch r.at0(e.last + 1) {
	case "part", "parts", "dial", "hands", "crown", "bezel", "crystal", "replacement", "case":
		return // a service part
	}
	first := r.negationBefore(k)
	last := e.last
	date, dated := r.dateNear(e.last+1, 6, true)
	switch r.slotAt(e.first) {
	case evidence.Dial, evidence.Hands, evidence.Crown, evidence.Bezel, evidence.Crystal:
		if r.lately(e.first) && !dated && r.at0(e.first) == "service" {
			return // a service part
		}
	}
	if dated {
		last = date.last
	}
	switch {
	case r.said(e.first):
		r.claim("service", first, last, 0.85)
	case first < e.first:
		r.use(first, last)
	case dated:
		r.propose(&evidence.Work{What: "service", Date: date.date}, first, last, 0.9)
	default:
		if m := r.at0(e.last + 2); r.at0(e.last+1) == "last" && r.Months[m] > 0 {
			r.propose(&evidence.Work{What: "service"}, first, e.last+2, 0.8, "date")
			r.question("which "+r.all[e.last+2].text+" the service was", first, e.last+2)
			return
		}
		r.propose(&evidence.Work{What: "service"}, first, last, 0.6, "date")
		r.question("when the service was", first, last)
	}
}
