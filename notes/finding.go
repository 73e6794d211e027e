package notes

import (
	"slices"
	"strings"

	"midcase/condition"
	"midcase/evidence"
)

// candidate is a finding before it is proposed.
type candidate struct {
	term     string
	slot     evidence.Slot
	severity int // -1: not said
	where    string
	first    int
	last     int
	said     reach // the words that judge, without the feature that they judge
	says     reach // the words that alone make the finding; none where it is denied
	good     bool
	dropped  bool // taken back in the same breath
	sure     float64
}

// findings turns terms, and features with their qualities ("bevels gone"), into
// findings.
func (r *reader) findings() {
	for k, e := range r.ev {
		if r.figuresOf(k) || r.isNeeded(e) {
			continue
		}
		switch {
		case e.role == isCorrection:
			r.takeBack(e)
		case e.has(isTerm, isQuality):
			if c, ok := r.judge(k); ok {
				r.found = append(r.found, c)
			}
		case e.role == isTopic && (r.said(e.first) || e.id == "ownership" && r.at0(e.last) != "new"):
			r.claim(e.id, e.first, e.last, 0.8)
		}
	}
	for i := range r.found {
		r.proposeFinding(r.found[:i], &r.found[i])
	}
}

// figuresOf reports whether a figure of running already stands on the event ("lost four
// seconds").
func (r *reader) figuresOf(k int) bool { return r.used[r.ev[k].first] && r.ev[k].has(isRate) }

// takeBack drops what was said just before a correction.
func (r *reader) takeBack(e event) {
	const near = 10
	r.use(e.first, e.last)
	if len(r.found) == 0 {
		return
	}
	if c := &r.found[len(r.found)-1]; e.first-c.last <= near && !r.opensBetween(c.last, e.first) {
		r.use(c.first, c.last)
		if opposite := r.Opposites[c.term]; opposite != "" && r.deniesBehind(e) {
			turned := *c
			turned.term, turned.severity, turned.good, turned.last = opposite, 0, true, e.last
			turned.says = reach{0, -1}
			c.dropped = true
			r.found = append(r.found, turned)
			return
		}
		c.dropped = true
	}
}

// deniesBehind reports whether a correction says that it is not so: "but I looked again and it hasn't".
func (r *script) deniesBehind(e event) bool {
	switch r.at0(e.last) {
	case "hasnt", "isnt", "wasnt", "arent", "havent", "werent":
		return true
	}
	return false
}

// answeredNo reports whether "no" or 0 answers what stands before a token: "polished: no", "rust: none", "dents 0".
func (r *script) answeredNo(i int) bool {
	if colon := r.at0(i) == ":" || r.at0(i) == "="; colon {
		i++
		switch r.at0(i) {
		case "no", "n", "nein", "non", "not", "-", "–":
			return i+1 >= len(r.all) || r.all[i+1].kind != word && r.all[i+1].kind != figure
		}
	}
	switch r.at0(i) {
	case "0", "none", "nil":
		switch r.at0(i + 1) {
		case "found", "seen", "visible", "present", "noted", "there", "showing":
			return true
		}
		return i+1 >= len(r.all) || r.all[i+1].kind != word && r.at0(i+1) != "x"
	}
	return false
}

// opensBetween reports whether another part is named between two tokens.
func (r *passage) opensBetween(from, to int) bool {
	return slices.ContainsFunc(r.opens, func(o opening) bool {
		e := r.ev[o.ev]
		return e.role == isSlot && e.first > from && e.last < to
	})
}

// judge finds the term that an event comes to, its slot, severity and place.
func (r *passage) judge(k int) (candidate, bool) {
	e := r.ev[k]
	if r.doubted(e) || r.onlyDegree(k) || r.usedToBe(e.first) || r.deadLume(e) {
		return candidate{}, false
	}
	c := candidate{severity: -1, first: e.first, last: e.last, said: reach{e.first, e.last}, sure: 0.9}
	denied := r.denied(k)
	if r.answeredNo(e.last+1) && e.has(isTerm) {
		r.use(e.first, e.last)
		if denied = true; !r.denied(k) {
			c.said.first = e.first
		}
	}
	if quality, ok := e.is(isQuality); ok && r.at0(e.first-1) == "too" && tooMuch[quality] {
		return candidate{}, false
	}
	if denied && r.spentDenial(k) {
		return candidate{}, false
	}
	at := e.first
	if r.becomes(k) {
		return candidate{}, false
	}
	if quality, ok := e.is(isQuality); ok {
		v, feature, found := r.verdict(quality, k, denied)
		switch {
		case found:
			c.term, c.severity, c.slot, denied = v.term, v.severity, v.slot, false
			if feature >= 0 {
				at = r.ev[feature].first
				c.first, c.last = min(c.first, at), max(c.last, r.ev[feature].last)
			}
		default:
			if !e.has(isTerm) {
				return candidate{}, false
			}
		}
	}
	if c.term == "" {
		c.term = r.surfaceOf(r.termHere(e), e.first)
		if r.saidAgain(k, c.term) {
			r.use(e.first, e.last)
			return candidate{}, false
		}
		r.turn(&c)
	}
	if t, ok := condition.Lookup(c.term); ok && t.Good && k+1 < len(r.ev) && r.excepts(r.ev[k+1]) && r.ev[k+1].first-e.last <= 2 {
		return candidate{}, false // all there except one is not all there
	}
	c.says = reach{c.first, c.last}
	if r.denied(k) {
		c.says = reach{0, -1}
	}
	if !r.settle(&c, k, at, denied) {
		return candidate{}, false
	}
	return c, true
}

// termHere is the term of an event; where it can be several, the one that is said of the slot spoken of.
func (r *passage) termHere(e event) string {
	id, _ := e.is(isTerm)
	for _, slot := range []evidence.Slot{r.slotAfterOn(e.last), r.slotAt(e.first)} {
		if fits, ok := r.termOf(e, string(slot)); ok {
			return fits
		}
	}
	return id
}

// termOf is the term that an event can be of a slot.
func (r *passage) termOf(e event, slot string) (string, bool) {
	all := append([]phrase{{role: e.role, id: e.id}}, e.also...)
	if slot == string(evidence.Movement) && slices.ContainsFunc(all, func(p phrase) bool { return p.id == "rust" }) {
		return "rust", true
	}
	for _, p := range all {
		if p.role != isTerm {
			continue
		}
		if t, ok := condition.Lookup(p.id); ok && t.Fits(slot) {
			return p.id, true
		}
	}
	return "", false
}

// turn makes another term of one by the words behind it: "engraving on the back
// removed".
func (r *script) turn(c *candidate) {
	const ahead = 7
	for _, t := range r.Turns {
		if t[0] != c.term {
			continue
		}
		p := phrase{words: strings.Fields(t[1])}
		for j := c.last + 1; j <= c.last+ahead && j < len(r.all) && !r.ends(j) && r.at0(j) != ","; j++ {
			if p.matches(r.all, j) {
				c.term, c.last = t[2], j+len(p.words)-1
				return
			}
		}
	}
}

// onlyDegree reports whether a word that can be a quality or a degree only says how much
// of what follows: "a faint water stain".
func (r *passage) onlyDegree(k int) bool {
	e := r.ev[k]
	if !e.has(isDegree) || k+1 >= len(r.ev) {
		return false
	}
	next := r.ev[k+1]
	return next.role == isTerm && next.first-e.last <= 2 && !r.between(e.last, next.first)
}

// settle gives a candidate its slot, what a denial makes of it, severity and place.
func (r *passage) settle(c *candidate, k, at int, denied bool) bool {
	if denied {
		c.first = r.negationBefore(k)
		opposite, known := r.Opposites[c.term]
		if !known {
			opposite = r.NegatedIs[c.term]
		}
		if opposite == "" {
			r.deny(*c, at)
			r.use(c.first, c.last)
			return false
		}
		c.term, c.severity = opposite, -1
	}
	t, ok := condition.Lookup(c.term)
	if !ok {
		return false
	}
	if c.slot == "" {
		if c.slot, ok = r.slotOf(t, *c, at); !ok {
			return false
		}
	}
	c.good = t.Good
	if c.good {
		c.severity = 0
	} else if s, first, last, ok := r.degree(*c); ok {
		c.severity = s
		c.first, c.last = min(c.first, first), max(c.last, last)
	}
	if !c.good {
		r.locate(c)
	}
	r.useSlotWord(*c, at)
	return true
}

// deny notes a fault that is not there: no evidence is proposed of it.
func (r *passage) deny(c candidate, at int) {
	t, ok := condition.Lookup(c.term)
	if !ok || t.Good {
		return
	}
	if c.slot == "" {
		c.slot, _ = r.slotOf(t, c, at)
	}
	r.denials = append(r.denials, denial{c.term, c.slot, c.said.first, c.last})
}

// useSlotWord marks the slot's name as read.
func (r *passage) useSlotWord(c candidate, at int) {
	for i := len(r.opens) - 1; i >= 0; i-- {
		if e := r.ev[r.opens[i].ev]; e.first <= at && r.opens[i].slot == c.slot {
			r.use(e.first, e.last)
			return
		}
	}
}

// narrowing are the words that can stand between "on" and the part: "on the hour hand".
var narrowing = map[string]bool{"the": true, "its": true, "a": true, "hour": true, "minute": true, "second": true,
	"seconds": true, "sweep": true, "small": true, "left": true, "right": true, "upper": true, "lower": true}

// afterOn reports whether a slot is named after on, of or in: "lume on the hands".
func (r *passage) afterOn(e event) bool {
	i := e.first - 1
	for i >= 0 && narrowing[r.all[i].norm] {
		i--
	}
	return i >= 0 &&
		(r.all[i].norm == "on" || r.all[i].norm == "of" || r.all[i].norm == "in" || r.all[i].norm == "to" ||
			r.all[i].norm == "along" || r.all[i].norm == "inside" && r.at[i] >= 0 && r.ev[r.at[i]].has(isTerm)) // "engraved inside the back"
}

func (r *script) sentenceBreak(from, to int) bool {
	for i := from + 1; i < to; i++ {
		if r.ends(i) {
			return true
		}
	}
	return false
}

// between reports whether punctuation stands between two tokens.
func (r *script) between(from, to int) bool {
	for i := from + 1; i < to; i++ {
		if r.all[i].kind == mark || r.all[i].kind == line {
			return true
		}
	}
	return false
}

// saidMuch reports whether something was said already of the slot spoken of, so that a
// finding before the next slot's name belongs to that one.
func (r *passage) saidMuch(i int) bool {
	from := -1
	for _, o := range r.opens {
		if r.ev[o.ev].first <= i {
			from = r.ev[o.ev].last
		}
	}
	if from < 0 || from >= i {
		return from < 0
	}
	return r.between(from, i) || i-from > 3
}

// doubted reports whether a finding is only asked about: "orig?", "cleaned once? can't
// tell".
func (r *passage) doubted(e event) bool {
	for j := e.last + 1; j < len(r.all) && j <= e.last+3; j++ {
		if r.all[j].norm == "?" {
			return true
		}
		if k := r.at[j]; k >= 0 && r.ev[k].role == isDoubt {
			return true
		}
		if r.ends(j) || r.all[j].norm == "," {
			return false
		}
		if k := r.at[j]; k >= 0 && (r.ev[k].role == isTerm || r.ev[k].role == isSlot) {
			return false
		}
	}
	return false
}

// proposeFinding proposes a candidate, unless it was taken back or said already. What
// somebody else says becomes a claim.
func (r *reader) proposeFinding(before []candidate, c *candidate) {
	if c.dropped {
		return
	}
	if n := len(before); n > 0 && before[n-1].dropped && c.where == "" && before[n-1].where != "" &&
		c.first-before[n-1].last <= 8 {
		c.where = before[n-1].where
	}
	for i := range before {
		if b := &before[i]; !b.dropped && b.term == c.term && b.slot == c.slot && b.where == c.where {
			r.use(c.first, c.last)
			return
		}
	}
	if c.good && faultBeside(before, c) {
		r.use(c.first, c.last)
		return
	}
	if r.said(c.first) || r.said(c.last) {
		r.claim(c.term, c.first, c.last, 0.8)
		return
	}
	f := &evidence.Finding{Slot: c.slot, Term: c.term, Where: c.where, Severity: c.severity}
	if c.severity >= 0 {
		r.propose(f, c.first, c.last, c.sure)
		r.sayWords(c)
		return
	}
	f.Severity = usualSeverity
	r.propose(f, c.first, c.last, 0.7, "severity")
	r.sayWords(c)
	t, _ := condition.Lookup(c.term)
	r.question("severity of "+t.Name+" on the "+slotName(c.slot), c.first, c.last, t.Severity[1:]...)
}

// faultBeside reports whether a fault that rules a good point out was just said of the same part: "rubbed but readable".
func faultBeside(before []candidate, c *candidate) bool {
	const near = 5
	t, _ := condition.Lookup(c.term)
	for _, b := range before {
		if !b.dropped && !b.good && b.slot == c.slot && slices.Contains(t.Conflicts, b.term) && c.said.first-b.said.last <= near &&
			c.said.first > b.said.last {
			return true
		}
	}
	return false
}

// sayWords notes by which words the finding that was just proposed was read.
func (r *reader) sayWords(c *candidate) {
	if n := len(r.out) - 1; n >= 0 && r.out[n].Data.Kind() == evidence.KindFinding && c.says.first <= c.says.last {
		r.out[n].Says = r.words(c.says.first, c.says.last)
	}
}
