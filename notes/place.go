package notes

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
)

// place is where on the dial or the part something is, as it is written on record:
// "near 7", "between 3 and 5", "upper left".
type place struct {
	text        string
	first, last int
}

// locate finds where a finding is: behind it, between a feature and what is said of it
// ("plots 7 missing"), or just before it ("the lower one sticks", "exc. 8").
func (r *passage) locate(c *candidate) {
	if p, ok := r.placeBefore(*c); ok {
		c.where, c.first = p.text, p.first
		return
	}
	if p, ok := r.placeAfter(c.last + 1); ok {
		c.where, c.last = p.text, p.last
		return
	}
	if h, last, ok := r.hour(c.said.first - 1); ok && c.first < c.said.first-1 && last == c.said.first-1 &&
		c.slot == evidence.Dial &&
		h <= 12 {
		c.where = "at " + strconv.Itoa(h)
		return
	}
	if where, ok := r.placeWithin(*c); ok {
		c.where = where
		return
	}
	for _, back := range []int{2, 1} {
		if c.first < back {
			continue
		}
		p, ok := r.placeAt(c.first - back)
		if ok && p.last < c.first &&
			(r.all[p.first].norm == "exc" || p.last == c.first-1 || r.at0(p.last+1) == "one") {
			c.where, c.first = p.text, p.first
			return
		}
	}
}

// placeBefore is the side right before what judges, where the side behind it is that of something else: "upper sticky,
// lower fine".
func (r *passage) placeBefore(c candidate) (place, bool) {
	const most = 3
	for n := 1; n <= most && c.said.first-n >= 0; n++ {
		first := c.said.first - n
		last, ok := r.side(first)
		if !ok || last != c.said.first-1 {
			continue
		}
		behind, is := r.side(c.said.last + 1)
		if !is || behind+1 >= len(r.all) || r.at[behind+1] < 0 || !r.ev[r.at[behind+1]].has(isQuality, isTerm) {
			return place{}, false
		}
		return place{r.said1(first, last), first, last}, true
	}
	return place{}, false
}

// placeWithin finds a place between a feature and what is said of it, or right before the feature: "the lume
// in the six plot has dropped out", "the bevel on the lower right has gone soft".
func (r *passage) placeWithin(c candidate) (string, bool) {
	const before = 3
	for j := max(0, c.first-before); j < c.said.first-1; j++ {
		if n := r.at0(j); n != "in" && n != "at" && n != "on" {
			continue
		}
		k := j + 1
		for r.at0(k) == "the" {
			k++
		}
		if j < c.first && k+1 != c.first {
			continue
		}
		if h, last, ok := r.hour(k); ok && h <= 12 && last < c.said.first {
			return "at " + strconv.Itoa(h), true
		}
		if last, ok := r.side(k); ok && last < c.said.first {
			return r.said1(k, last), true
		}
	}
	return "", false
}

// placeAfter looks for a place in the few tokens from i on.
func (r *passage) placeAfter(i int) (place, bool) {
	const ahead = 5
	for j := i; j < len(r.all) && j <= i+ahead && !r.ends(j); j++ {
		if k := r.at[j]; k >= 0 && r.opensAt(k) && r.ev[k].role == isSlot && !r.sideAt(j) {
			return place{}, false
		}
		if k := r.at[j]; k >= 0 && j > i && r.ev[k].role == isTerm {
			return place{}, false
		}
		if p, ok := r.placeAt(j); ok {
			if q, later := r.placeAt(p.last + 1); p.last+1 < len(r.all) && later && r.all[j].kind == figure &&
				r.all[q.first].kind == word {
				return q, true // "1-2 near 4" counts, then places
			}
			return p, true
		}
	}
	return place{}, false
}

func (r *script) sideAt(j int) bool { _, ok := r.side(j); return ok }

// opensAt reports whether an event opens a slot.
func (r *passage) opensAt(ev int) bool {
	return slices.ContainsFunc(r.opens, func(o opening) bool { return o.ev == ev })
}

// placeAt reads a place that begins at token j.
func (r *script) placeAt(j int) (place, bool) {
	if j >= len(r.all) {
		return place{}, false
	}
	if p, ok := r.hours(j, "at"); ok {
		return p, true
	}
	t := r.all[j]
	if t.kind == word && slices.Contains(r.Places, t.norm) {
		return r.placeAfterWord(j)
	}
	if t.norm == "on" || t.norm == "exc" {
		k := j + 1
		for k < len(r.all) && (r.all[k].norm == "the" || r.all[k].norm == ".") {
			k++
		}
		if last, ok := r.side(k); ok {
			return place{r.said1(k, last), j, last}, true
		}
		if h, last, ok := r.hour(k); ok && t.norm == "exc" {
			return place{fmt.Sprintf("at %d", h), j, last}, true
		}
	}
	if last, ok := r.side(j); ok {
		if last+1 < len(r.all) &&
			(r.all[last+1].norm == "lug" || r.all[last+1].norm == "corner" || r.all[last+1].norm == "edge") {
			last++
		}
		return place{r.said1(j, last), j, last}, true
	}
	return place{}, false
}

func (r *script) placeAfterWord(j int) (place, bool) {
	prep := r.all[j].norm
	switch prep {
	case "nr", "by", "close", "next":
		prep = "near"
	case "btw":
		prep = "between"
	}
	k := j + 1
	for k < len(r.all) && (r.all[k].norm == "the" || r.all[k].norm == "to" || r.all[k].norm == "its") {
		k++
	}
	if p, ok := r.hours(k, prep); ok {
		p.first = j
		return p, true
	}
	if h, last, ok := r.hour(k); ok {
		if prep == "between" || prep == "from" {
			if h2, last2, ok := r.hour(last + 2); ok {
				return place{fmt.Sprintf("between %d and %d", h, h2), j, last2}, true
			}
		}
		if last+1 < len(r.all) && strings.HasPrefix(r.all[last+1].norm, "minute") {
			return place{fmt.Sprintf("%s %d minutes", prep, h), j, last + 1}, true
		}
		return r.moreHours(place{fmt.Sprintf("%s %d", prep, h), j, last}), true
	}
	if last, ok := r.side(k); ok {
		return place{prep + " the " + strings.TrimPrefix(r.said1(k, last), "the "), j, last}, true
	}
	if k < len(r.all) && r.all[k].norm == "date" {
		return place{prep + " the date", j, k}, true
	}
	return place{}, false
}

// hours reads "5h" and "3-5".
func (r *script) hours(j int, prep string) (place, bool) {
	h, last, ok := r.hour(j)
	if !ok || r.all[j].kind != figure || last+1 >= len(r.all) {
		return place{}, false
	}
	next := r.all[last+1]
	if next.norm == "h" && next.joined {
		return place{fmt.Sprintf("%s %d", prep, h), j, last + 1}, true
	}
	if next.norm == "-" || next.norm == "–" {
		if h2, last2, ok := r.hour(last + 2); ok && h2 <= 12 && r.all[last+2].joined {
			return place{fmt.Sprintf("between %d and %d", h, h2), j, last2}, true
		}
	}
	return place{}, false
}

// hour reads an hour or minute of the dial.
func (r *script) hour(j int) (h, last int, ok bool) {
	if j < 0 || j >= len(r.all) {
		return 0, 0, false
	}
	n, ok := numberAt(r.all, j)
	if !ok || !n.whole() {
		return 0, 0, false
	}
	if len(n.pieces) > 1 { // "near eight thirty …": the hour alone
		n.pieces, n.last = n.pieces[:1], j
	}
	v := n.value()
	if v < 1 || v > 60 {
		return 0, 0, false
	}
	last = n.last
	if last+1 < len(r.all) && (r.all[last+1].norm == "oclock") {
		last++
	}
	return int(v), last, true
}

// moreHours reads on where several hours are named: "at one two and four".
func (r *script) moreHours(p place) place {
	hours := []int{}
	for k := p.last + 1; k < len(r.all); k++ {
		if n := r.all[k].norm; n == "," || n == "and" {
			continue
		}
		h, last, ok := r.hour(k)
		if !ok || h > 12 || r.all[k].kind == figure && r.all[k-1].kind == word && r.all[k-1].norm != "and" {
			break
		}
		hours, p.last, k = append(hours, h), last, last
	}
	for i, h := range hours {
		join := ", "
		if i == len(hours)-1 {
			join = " and "
		}
		p.text += join + strconv.Itoa(h)
	}
	return p
}

// side reads "lower left", "tip", "edge"; "the right one" is none.
func (r *script) side(j int) (last int, ok bool) {
	for _, p := range r.sides {
		if p.matches(r.all, j) {
			if next := r.at0(j + len(p.words)); r.at0(j) == "right" && (next == "one" || next == "ones" || next == "for") {
				continue
			}
			return j + len(p.words) - 1, true
		}
	}
	return 0, false
}

func (r *script) said1(first, last int) string {
	var out []string
	for i := first; i <= last; i++ {
		out = append(out, r.all[i].norm)
	}
	return strings.Join(out, " ")
}
