package notes

import (
	"math"

	"midcase/evidence"
)

// running gathers one reading of how the watch runs.
type running struct {
	rate            evidence.Rate
	hasRate         bool
	hasAmp, hasBeat bool
	first, last     int
}

// rates reads rates, amplitudes and beat errors with their positions. A second rate, or
// a second position, begins a second reading. How it ran before is not how it runs.
func (r *reader) rates() {
	var cur *running
	var all []*running
	begin := func(at int) *running {
		cur = &running{first: at, last: at}
		all = append(all, cur)
		return cur
	}
	for k := range r.ev {
		e := r.ev[k]
		if cur != nil && r.farFrom(cur, e) {
			cur = nil
		}
		if e.role == isPosition {
			if r.at0(e.first-1) == "crown" || !r.runs(k) {
				continue
			}
			if cur == nil || cur.rate.Position != "" {
				begin(e.first)
			}
			cur.rate.Position = e.id
			cur.stretch(e.first, e.last)
			continue
		}
		if e.role != isNumber || r.used[e.first] {
			continue
		}
		what, first, last, sign := r.runningFigure(k, cur)
		switch what {
		case "rate":
			if r.formerly(e, first) {
				r.use(first, last)
				continue
			}
			if cur == nil || cur.hasRate {
				begin(first)
			}
			n, amplitude, both := splitReading(e.n)
			cur.rate.SecPerDay, cur.hasRate = sign*math.Abs(n.value())*r.inSeconds(e.last+1), true
			if both {
				cur.rate.AmplitudeDeg, cur.hasAmp = amplitude, true
			}
		case "amplitude":
			if second, at, ok := r.amplitudes(all, e); ok {
				all[len(all)-2].rate.AmplitudeDeg, all[len(all)-2].hasAmp = e.n.value(), true
				cur.rate.AmplitudeDeg, cur.hasAmp = second, true
				r.use(e.first, at)
				last = at
				break
			}
			if cur == nil || cur.hasAmp {
				begin(first)
			}
			cur.rate.AmplitudeDeg, cur.hasAmp = e.n.value(), true
		case "beat":
			if cur == nil || cur.hasBeat {
				begin(first)
			}
			cur.rate.BeatErrorMS, cur.hasBeat = new(math.Abs(e.n.value())), true
		default:
			continue
		}
		cur.stretch(first, last)
		r.use(first, last)
	}
	for _, c := range all {
		r.proposeRate(c)
	}
}

// amplitudes reads the second of two amplitudes that belong to the two rates before them: "-8 du, -3 dd,
// amp 248/240".
func (r *reader) amplitudes(all []*running, e event) (second float64, last int, ok bool) {
	if len(all) < 2 || !all[len(all)-1].hasRate || all[len(all)-1].hasAmp || !all[len(all)-2].hasRate ||
		all[len(all)-2].hasAmp {
		return 0, 0, false
	}
	sep := r.at0(e.last + 1)
	n, found := r.numberEvent(e.last + 2)
	if sep != "/" && sep != "and" || !found || n.value() < 80 || n.value() > 400 {
		return 0, 0, false
	}
	return n.value(), n.last, true
}

// splitReading parts a rate and an amplitude that were said in one breath: "plus seven
// two seventy five".
func splitReading(n number) (rate number, amplitude float64, both bool) {
	if !n.spoken || n.fraction != "" || len(n.pieces) < 2 {
		return n, 0, false
	}
	head, tail := n, n
	head.pieces, tail.pieces = n.pieces[:1], n.pieces[1:]
	if a := math.Abs(tail.value()); a >= 100 && a <= 400 && len(n.pieces[0]) <= 2 {
		return head, a, true
	}
	return n, 0, false
}

func (c *running) stretch(first, last int) { c.first, c.last = min(c.first, first), max(c.last, last) }

// farFrom reports whether a reading ended before the event.
func (r *script) farFrom(c *running, e event) bool {
	return e.first-c.last > 9 || r.sentenceBreak(c.last, e.first) && r.at0(c.last+1) != "/" ||
		e.role == isSlot && e.id == string(evidence.Box)
}

// runs reports whether a figure of running follows a position, or stands before it.
func (r *reader) runs(k int) bool {
	e := r.ev[k]
	for j := k + 1; j < len(r.ev) && r.ev[j].first-e.last <= 5; j++ {
		if r.ev[j].role == isNumber || r.ev[j].role == isRate {
			return true
		}
	}
	for j := k - 1; j >= 0 && e.first-r.ev[j].last <= 4; j-- {
		if r.ev[j].role == isNumber && r.used[r.ev[j].first] || r.ev[j].role == isRate {
			return true
		}
	}
	return false
}

// runningFigure tells rate, amplitude and beat error apart by the words and signs beside
// a number.
func (r *passage) runningFigure(k int, cur *running) (what string, first, last int, sign float64) {
	e := r.ev[k]
	first, last = e.first, e.last
	cue, cueAt := r.rateCue(k)
	sign, signAt := r.sign(e.first)
	unit := r.unitBehind(e.last + 1)
	if cueAt >= 0 {
		first = min(first, cueAt)
	}
	if signAt >= 0 {
		first = min(first, signAt)
	}
	switch r.at0(e.last + 1) {
	case "g", "gr", "gram", "grams", "gramme", "grammes", "mm":
		return "", 0, 0, 0
	}
	n, _, _ := splitReading(e.n)
	v := n.value()
	listed := r.at0(e.first-1) == "/" || r.at0(e.first-1) == "," || r.at0(e.first-1) == "with" || r.at0(e.first-1) == "a" ||
		r.at0(e.first-1) == "at"
	switch {
	case unit == "deg" || cue == "amplitude" && v >= 80 && v <= 400:
		return "amplitude", first, r.skipUnit(last), 1
	case unit == "ms" || cue == "beat" && v <= 20:
		return "beat", first, r.skipUnit(last), 1
	case unit == "rate" || cue == "gain" || cue == "loss" || sign != 0 &&
		(cue != "" || cur != nil || r.positionBefore(k) || r.positionAfter(k) || r.signedRate(k)):
		if math.Abs(v) > 2000 || cue == "mark" {
			return "", 0, 0, 0
		}
		switch {
		case cue == "loss" || r.at0(e.last+2) == "slow":
			sign = -1
		case sign == 0:
			sign = 1
		}
		return "rate", first, r.skipUnit(last), sign
	case cur != nil && cur.hasRate && !cur.hasAmp && v >= 140 && v <= 360 && e.n.whole() &&
		(listed || cur.last == e.first-1 || r.positionBefore(k)):
		return "amplitude", first, last, 1
	case cur != nil && cur.hasAmp && !cur.hasBeat && v < 10 && !e.n.whole() && (listed || cur.last == e.first-1):
		return "beat", first, last, 1
	case (cue == "rate" || r.positionBefore(k)) && v <= 200 && !r.hasDimension(k) && !r.ranFor(last+1):
		return "rate", first, last, 1
	}
	return "", 0, 0, 0
}

// ranFor reports whether a figure says how long a watch ran: "runs 20 min then stops".
func (r *script) ranFor(i int) bool {
	switch r.at0(i) {
	case "min", "mins", "minute", "minutes", "h", "hrs", "hour", "hours", "days", "weeks":
		return r.unitBehind(i) == ""
	}
	return false
}

func (r *passage) hasDimension(k int) bool {
	return k > 0 && r.ev[k-1].role == isDimension || r.at0(r.ev[k].last+1) == "mm"
}

// signedRate reports whether a figure with a sign is a rate by the word beside it: "+1 s", "mvt +30".
func (r *passage) signedRate(k int) bool {
	e := r.ev[k]
	switch r.at0(e.last + 1) {
	case "s", "sec", "secs", "seconds":
		return true
	}
	if k == 0 {
		return false
	}
	id, ok := r.ev[k-1].is(isSlot)
	return ok && id == string(evidence.Movement) && e.first-r.ev[k-1].last == 2
}

func (r *passage) positionAfter(k int) bool {
	next := r.ev[k].last + 1
	if n := r.at0(next); n == "s" || n == "sec" {
		next++
	}
	return k+1 < len(r.ev) && r.ev[k+1].role == isPosition && r.ev[k+1].first == next
}

func (r *passage) positionBefore(k int) bool {
	return k > 0 && r.ev[k-1].role == isPosition && r.ev[k].first-r.ev[k-1].last <= 2
}

// rateCue is the nearest word of running before a number, at most four tokens away.
func (r *passage) rateCue(k int) (cue string, at int) {
	e := r.ev[k]
	for j := k - 1; j >= 0 && e.first-r.ev[j].last <= 6; j-- {
		b := r.ev[j]
		if r.sentenceBreak(b.last, e.first) {
			break
		}
		if id, ok := b.is(isRate); ok && id == "rate" && r.leads(b.last+1) {
			break // a crack that runs from nine to the centre
		}
		if id, ok := b.is(isRate); ok && id != "other" {
			if (id == "gain" || id == "loss") && e.first-b.last > 1 {
				if e.first-b.last > 2 {
					break
				}
			}
			if id == "loss" && r.at0(b.first) == "lost" && r.unitBehind(e.last+1) != "rate" {
				break
			}
			return id, b.first
		}
		if b.role == isNumber || b.role == isDimension || b.role == isMark || b.role == isWeighs ||
			b.role == isSlot && r.opensAt(j) && b.id != string(evidence.Movement) {
			break
		}
	}
	return "", -1
}

// leads reports whether a word behind "runs" says where to.
func (r *script) leads(i int) bool {
	switch r.at0(i) {
	case "from", "across", "along", "through", "to", "into", "towards", "round", "around", "over":
		return true
	}
	return false
}

// sign reads "+", "-", "plus", "minus" right before a number.
func (r *script) sign(i int) (sign float64, at int) {
	switch r.at0(i - 1) {
	case "+", "plus":
		return 1, i - 1
	case "-", "−", "–", "minus":
		if i >= 2 && r.all[i-1].kind == mark && r.at0(i-2) != "/" && r.all[i-1].joined && r.all[i].joined {
			return 0, -1 // a range or a code
		}
		return -1, i - 1
	}
	return 0, -1
}

// unitBehind is the unit of running behind a number.
func (r *script) unitBehind(i int) string {
	switch r.at0(i) {
	case "°", "deg", "degrees", "degree":
		return "deg"
	case "ms", "millisecond", "milliseconds":
		return "ms"
	case "s", "sec", "secs", "second", "seconds", "min", "mins", "minute", "minutes":
		switch next := r.at0(i + 1); {
		case next == "/" || next == "a" || next == "per":
			return "rate"
		case (next == "fast" || next == "slow") && (r.at0(i+2) == "a" || r.at0(i+2) == "per"):
			return "rate" // "ten seconds slow a day"
		}
	case "spd":
		return "rate"
	}
	return ""
}

// inSeconds is 60 where the unit at a token is minutes a day.
func (r *script) inSeconds(i int) float64 {
	switch r.at0(i) {
	case "min", "mins", "minute", "minutes":
		return 60
	}
	return 1
}

func (r *script) skipUnit(last int) int {
	switch r.unitBehind(last + 1) {
	case "rate":
		if r.at0(last+1) == "spd" {
			return last + 1
		}
		if n := r.at0(last + 2); n == "fast" || n == "slow" {
			last++
		}
		return min(last+3, len(r.all)-1)
	case "":
		return last
	}
	return last + 1
}

// formerly reports whether a rate is one of before: "ran plus forty before I …", "used
// to gain 20".
func (r *reader) formerly(e event, first int) bool {
	for i := e.last + 1; i < len(r.all) && i <= e.last+4 && !r.ends(i); i++ {
		if k := r.at[i]; k >= 0 && r.ev[k].role == isPast {
			return true
		}
		if k := r.at[i]; k >= 0 && (r.ev[k].role == isNumber || r.ev[k].role == isNow) {
			break
		}
	}
	for i := max(0, first-4); i < first; i++ {
		if r.at0(i) == "used" || r.at0(i) == "previously" {
			return true
		}
	}
	return false
}

// proposeRate proposes one reading. Its position is asked for where it was not said.
func (r *reader) proposeRate(c *running) {
	if !c.hasRate {
		if c.hasAmp || c.hasBeat {
			r.question("rate that belongs to this reading", c.first, c.last)
		}
		return
	}
	rate := c.rate
	if r.said(c.first) {
		r.claim("rate", c.first, c.last, 0.8)
		return
	}
	if rate.Position == "" {
		r.propose(&rate, c.first, c.last, 0.85, "position")
		r.question("position of the rate", c.first, c.last, evidence.Positions()...)
		return
	}
	r.propose(&rate, c.first, c.last, 0.95)
}
