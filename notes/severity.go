package notes

import (
	"strconv"
	"strings"
)

// usualSeverity stands, marked as open, where the notes name a fault and not how bad it
// is: a fault that somebody writes down can be seen.
const usualSeverity = 2

// degree is the severity said beside a finding, nearest first: "light polish",
// "polished heavily", "spots, a few".
func (r *passage) degree(c candidate) (severity, first, last int, ok bool) {
	for _, step := range []int{-1, 1} {
		i := c.said.first - 1
		if step > 0 {
			i = c.said.last + 1
		}
		for n := 0; n < 4 && i >= 0 && i < len(r.all) && !r.ends(i); n++ {
			k := r.at[i]
			if k >= 0 {
				e := r.ev[k]
				if id, is := e.is(isDegree); is && !r.becomes(k) && (step > 0 || !r.belongsBefore(k, c)) {
					s, _ := strconv.Atoi(id)
					return s, e.first, e.last, true
				}
				if s, is := r.counted(e, step); is {
					return s, e.first, e.last, true
				}
				if !e.has(isThere, isPast) && e.role != isNumber {
					break
				}
				if step > 0 {
					i = e.last
				}
			} else if r.all[i].norm == "one" && step < 0 && i == c.said.first-1 &&
				!strings.HasSuffix(r.at0(c.said.first), "ed") {
				return 1, i, i, true
			} else if r.all[i].kind == word && !r.filler[r.all[i].norm] && r.all[i].norm != "only" {
				n++
			}
			i += step
		}
	}
	return 0, 0, 0, false
}

// belongsBefore reports whether a degree in front belongs to what is said before it:
// "scratches light dents" has light for the scratches only where a comma follows it.
func (r *passage) belongsBefore(k int, c candidate) bool {
	return r.between(r.ev[k].last, c.first) && k > 0 && r.ev[k-1].role == isTerm
}

// counted takes a count in front ("two specks", "1 chip") and "1x", "3 times" for a
// degree.
func (r *script) counted(e event, step int) (int, bool) {
	if e.role != isNumber || !e.n.whole() || len(e.n.pieces) != 1 {
		return 0, false
	}
	v := e.n.value()
	next := r.at0(e.last + 1)
	switch times := next == "x" || next == "times" || next == "×"; {
	case times && v >= 1 && v <= 9:
		return 2, true
	case step > 0 || times || v < 1 || v > 20:
		return 0, false
	case v <= 2:
		return 1, true
	}
	return 2, true
}
