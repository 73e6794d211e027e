package notes

import (
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/metal"
)

// watchNumber reads serial, movement and case numbers and date stamps.
func (r *reader) watchNumber(k int) bool {
	e := r.ev[k]
	what, first := r.markBefore(k)
	if what == "" {
		return false
	}
	digits := e.n.digits()
	if what == evidence.MarkDateStamp || what == evidence.MarkSerial && len(digits) < 4 && r.stampBefore(e.first) {
		return r.stamp(e, first)
	}
	if _, _, gaps := r.withGaps(e); !gaps && len(digits) < 3 || !e.n.whole() && !e.n.grouped {
		return false
	}
	last := e.last
	if text, end, ok := r.withGaps(e); ok {
		digits, last = text, end
	}
	m := &evidence.Mark{What: what, Text: digits}
	if w, place := r.wherePrinted(last + 1); place > 0 {
		last = place
		if w == evidence.Movement && what == r.bareNumber() {
			m.What = evidence.MarkMovementNumber
		}
	}
	sure := 0.95
	if r.partial(first, e.first) {
		m.Text, sure = "?"+lastFigures(e.n), 0.7
	}
	r.propose(m, first, last, sure)
	return true
}

// correctsMark puts a number in the place of one that was taken back: "two nine nine oh six, no sorry, two nine nine
// six oh".
func (r *reader) correctsMark(k int) bool {
	e := r.ev[k]
	c := r.correctionBefore(k)
	if c < 1 || len(e.n.digits()) < 3 || !e.n.whole() && !e.n.grouped {
		return false
	}
	for i := range r.out {
		m, ok := r.out[i].Data.(*evidence.Mark)
		if ok && m.What != evidence.MarkCalibre && r.out[i].To >= r.all[r.ev[c-1].last].to && r.out[i].From <= r.all[r.ev[c-1].first].from {
			m.Text = e.n.digits()
			r.out[i].To = r.all[e.last].to
			r.out[i].Text = string(r.runes[r.out[i].From:r.out[i].To])
			r.use(r.ev[c].first, e.last)
			return true
		}
	}
	return r.saidAnew(c, e)
}

// saidAnew reads a number that was broken off and begun again: "serial five oh no hang on five one two two eight".
func (r *reader) saidAnew(correction int, e event) bool {
	const fewest = 4
	what, first := r.markBefore(correction - 1)
	if r.ev[correction-1].role != isNumber || len(e.n.digits()) < fewest || what != evidence.MarkSerial &&
		what != evidence.MarkMovementNumber {
		return false
	}
	r.propose(&evidence.Mark{What: what, Text: e.n.digits()}, first, e.last, 0.85)
	return true
}

// correctionBefore is the correction that a number mends the one before it by, at once or, where the number is as long as
// that one, after a few words: "18330 wait I've got it upside down 18339". It is -1 where there is none.
func (r *reader) correctionBefore(k int) int {
	const reach = 9
	e := r.ev[k]
	for c := k - 1; c >= 1 && e.first-r.ev[c].last <= reach; c-- {
		b := r.ev[c]
		switch {
		case b.role == isCorrection && (b.last >= e.first-2 ||
			r.ev[c-1].role == isNumber && len(r.ev[c-1].n.digits()) == len(e.n.digits())):
			return c
		case b.role == isCorrection, b.role == isNumber, b.has(isSlot, isMark):
			return -1
		}
	}
	return -1
}

// withGaps reads a number on the watch with figures that cannot be read: "51 1?4", "four seven something two".
func (r *script) withGaps(e event) (text string, last int, ok bool) {
	text, last = e.n.digits(), e.last
	for i := e.last + 1; i < len(r.all) && len(text) < 9; i++ {
		switch w := r.at0(i); {
		case w == "?" && (r.all[i].joined || ok), w == "something", w == "blank" && ok:
			text, last, ok = text+"?", i, true
			continue
		case w == "illegible" || w == "unreadable":
			text, last, ok = text+"?", i, true
			continue
		}
		n, is := r.numberEvent(i)
		if !is || !n.whole() || r.all[i].kind == figure && !r.all[i].joined && !r.gapBehind(i) ||
			!ok && !(r.all[i].kind == figure && r.gapBehind(i)) {
			break
		}
		text, last = text+n.digits(), n.last
		i = n.last
	}
	return text, last, ok && len(strings.ReplaceAll(text, "?", "")) > 1
}

// gapBehind reports whether a question mark touches the figure at a token.
func (r *script) gapBehind(i int) bool { return r.at0(i+1) == "?" && r.all[i+1].joined }

// stamp reads a date stamp, or a hallmark that is a fineness, on the part spoken of.
func (r *reader) stamp(e event, first int) bool {
	slot := r.stampedOn(e.first, first)
	if last, ok := r.yearBehind(e.last); ok && e.n.whole() && len(e.n.digits()) <= 2 && e.n.value() >= 1 && e.n.value() <= 12 {
		r.propose(&evidence.Mark{What: evidence.MarkDateStamp, Text: r.words(e.first, last), Slot: slot}, first, last, 0.85)
		return true
	}
	if m, err := metal.ReadHallmark(e.n.digits()); err == nil && m.Permille > 0 && len(e.n.digits()) == 3 {
		r.propose(&evidence.Mark{What: evidence.MarkHallmark, Text: e.n.digits(), Slot: slot}, first, e.last, 0.9)
		return true
	}
	if month := e.n.value(); len(e.n.fraction) == 2 && e.n.fraction > "29" && month >= 1 && month < 13 { // "4.67"
		r.propose(&evidence.Mark{What: evidence.MarkDateStamp, Text: r.words(e.first, e.last), Slot: slot}, first, e.last, 0.9)
		return true
	}
	if p := e.n.pieces; e.n.spoken && len(p) == 2 && len(p[0]) <= 2 && p[0] != "0" && len(p[1]) == 2 && p[1] > "29" {
		r.propose(&evidence.Mark{What: evidence.MarkDateStamp, Text: p[0] + "-" + p[1], Slot: slot}, first, e.last, 0.8)
		return true
	}
	d, ok := r.dateAt(e.first, false)
	if !ok || d.last <= e.first {
		return false
	}
	r.propose(&evidence.Mark{What: evidence.MarkDateStamp, Text: r.words(e.first, d.last), Slot: slot}, first, d.last,
		0.9)
	return true
}

// markBefore finds the words that make a number one of the watch: "number", "ser",
// "mvt", "no." and the like, or a movement named right before a long number.
func (r *reader) markBefore(k int) (what string, first int) {
	const back = 8
	e := r.ev[k]
	_, _, gaps := r.withGaps(e)
	for j := k - 1; j >= 0 && e.first-r.ev[j].last <= back; j-- {
		b := r.ev[j]
		if r.sentenceBreak(b.last, e.first) {
			return "", 0
		}
		near := e.first-b.last <= 2
		if id, ok := b.is(isMark); ok && (near || gaps || id == "serial" && r.partial(b.first, e.first)) {
			switch id {
			case "number":
				if j > 0 && e.first-r.ev[j-1].last <= 3 {
					if s, ok := r.ev[j-1].is(isSlot); ok && s == string(evidence.Movement) &&
						!r.sentenceBreak(r.ev[j-1].last, e.first) {
						return evidence.MarkMovementNumber, r.ev[j-1].first
					}
				}
				if r.behindCalibre(j) {
					return evidence.MarkMovementNumber, b.first
				}
				return r.bareNumber(), b.first
			case "movement_number":
				return evidence.MarkMovementNumber, b.first
			default:
				return id, b.first
			}
		}
		if f, ok := b.is(isFeature); ok && f == "number_mark" && r.all[b.last].norm == "number" {
			return evidence.MarkSerial, b.first
		}
		if s, ok := b.is(isSlot); ok && s == string(evidence.Case) && near && (e.n.whole() || e.n.grouped) &&
			len(e.n.digits()) >= 4 {
			return evidence.MarkSerial, b.first
		}
		if s, ok := b.is(isSlot); ok && s == string(evidence.CaseBack) && (e.n.whole() || e.n.grouped) && len(e.n.digits()) >= 5 &&
			e.first-b.last <= 4 {
			return evidence.MarkSerial, b.first
		}
		if s, ok := b.is(isSlot); ok && s == string(evidence.Movement) && near && e.n.whole() &&
			len(e.n.digits()) >= 4 {
			return evidence.MarkMovementNumber, b.first
		}
		if b.role == isNumber || b.role == isSlot && !near {
			return "", 0
		}
	}
	return "", 0
}

// bareNumber is what a number without more words is: the one by which the book dates the
// reference, the serial number otherwise.
func (r *reader) bareNumber() string {
	if r.maker != nil && r.ref != nil {
		for _, s := range r.maker.Serials {
			for _, id := range r.ref.Serial {
				if s.ID == id && s.Mark != "" {
					return s.Mark
				}
			}
		}
	}
	return evidence.MarkSerial
}

// partial reports whether only the last figures of a number could be read.
func (r *script) partial(from, to int) bool {
	for i := from; i < to; i++ {
		if w := r.at0(i); w == "last" || w == "ends" || w == "ending" {
			return true
		}
	}
	return false
}

// lastFigures drops the count from "the last three six one seven".
func lastFigures(n number) string {
	if n.spoken && len(n.pieces) > 1 && n.pieces[0] == strconv.Itoa(len(n.pieces)-1) {
		return strings.Join(n.pieces[1:], "")
	}
	return n.digits()
}

// wherePrinted reads "on the back", "(back)", "on the bridge" behind a number.
func (r *script) wherePrinted(i int) (slot evidence.Slot, last int) {
	for j := i; j < len(r.all) && j < i+4; j++ {
		switch r.at0(j) {
		case "on", "the", "(", "under", "inside", "of":
			continue
		case "back", "caseback":
			if j == i {
				return "", 0
			}
			if r.at0(j+1) == ")" {
				j++
			}
			return evidence.CaseBack, j
		case "bridge", "movement", "plate":
			if j == i {
				return "", 0
			}
			return evidence.Movement, j
		}
		break
	}
	return "", 0
}
