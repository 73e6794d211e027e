package origin

import (
	"fmt"
	"slices"

	"midcase/edtf"
)

// Result is what the evidence says about the origin of a watch. Slices over months
// start at First.
type Result struct {
	First edtf.Month
	P     []float64 // probability of each month given everything; sums to 1
	Prior []float64 // by the production span alone; sums to 1
	Items []Item    // serials, stamps, papers, stated and seen slots
	Slots []SlotResult
	// Donor is the chance that parts of one other watch are on this one; 0 where too few
	// parts were seen to tell.
	Donor float64
	// WrongBook is the chance that many of the book's dates for the reference are off; 0
	// where too few parts were seen to tell.
	WrongBook float64
	// Delivered is the chance of each place of delivery of the subject.
	Delivered []Delivery
}

// Item is what one piece of evidence says.
type Item struct {
	ID, Kind string
	// Slot is the name of the slot for a seen part, and for a stamp on a listed part.
	Slot string
	// Surprise is the predictive probability, given all other items and that this one
	// speaks of the watch, of something at least as unexpected: about evenly spread over
	// 0–1 or above that where all is right, near 0 where this item disagrees.
	Surprise float64
	// Outlier is the chance, given everything, that the item says nothing about the
	// watch: misread, or from another one. Of a seen part it is the chance that it was
	// replaced.
	Outlier  float64
	Alone    []float64     // probability of each month by the prior and this item only
	Without  [2]edtf.Month // 90 % interval by everything but this item
	WithoutP []float64     // probability of each month by everything but this item
}

// SlotResult is what the evidence says about one part.
type SlotResult struct {
	Name, ID, Seen string
	// POriginal is the chance that the part left the factory with the watch; where
	// nothing is Known it is 1 − Slot.Replaced.
	POriginal float64
	// AsNamed is POriginal if the variant was named right for certain, and NamedRight
	// the chance that it was. A part that does not fit the date has a low AsNamed, and
	// a NamedRight below Slot.Confidence: look again before calling it wrong. Where
	// nothing was seen they are POriginal and 1.
	AsNamed, NamedRight float64
	// FromDonor is the chance that the part came with others from one other watch.
	FromDonor float64
	Known     bool    // the part was seen, a stamp on it was read, or a replacement is on record
	Surprise  float64 // as Item.Surprise of the variant seen; 1 where none was seen
	// Expected is the share of each variant, in the order of the book, and of Unknown
	// among original parts at the date that everything but this slot gives.
	Expected []Share
}

// Share is the probability of one variant.
type Share struct {
	Variant string
	P       float64
}

// withoutLevel is the probability content of Item.Without.
const withoutLevel = 0.9

// Infer works out when the watch was made and which parts are original. An error
// names the field that is wrong and what was found. With no evidence the result is
// the prior.
func Infer(s Subject) (*Result, error) {
	if err := s.check(); err != nil {
		return nil, fmt.Errorf("origin: %w", err)
	}
	m := newModel(s)
	rest, all := m.leaveOneOut()
	r := &Result{First: m.g.first, P: posterior(all, nil), Prior: posterior(m.prior, nil)}
	for k, g := range m.groups {
		months := posterior(rest[k], nil)
		for _, it := range g.items {
			r.Items = append(r.Items, m.judge(it, g, rest[k], months, r.Prior))
		}
	}
	m.judgeParts(r)
	return r, nil
}

// judge sets an item of a group against all others. rest holds the log weights of the
// months by all other groups, months the same as probabilities.
func (m *model) judge(it item, g group, rest, months, prior []float64) Item {
	out := Item{ID: it.id, Kind: it.kind, Alone: update(prior, it.alone)}
	if it.without == nil {
		out.WithoutP = append([]float64(nil), months...)
	} else {
		out.WithoutP = posterior(rest, it.without)
	}
	out.Outlier = clamp(dot(months, it.astray) / dot(months, g.like))
	out.Surprise = it.surprise(out.WithoutP)
	out.Without = nearest(m.g.first, out.WithoutP, withoutLevel)
	return out
}

// judgeParts adds the verdicts on the parts, and the items on them.
func (m *model) judgeParts(r *Result) {
	j := m.joint
	marks := posterior(m.marks(), nil)
	for k := range m.s.Slots {
		var out SlotResult
		if slices.Contains(j.live, k) {
			items := m.judgeLive(k, marks, r.Prior)
			out = m.slotResult(k, marks, items)
			r.Items = append(r.Items, items...)
		} else {
			out = m.unseen(k, r.P)
		}
		r.Slots = append(r.Slots, out)
	}
	sum := dot(marks, j.like)
	for _, d := range m.s.Delivered {
		r.Delivered = append(r.Delivered, Delivery{Market: d.Market})
	}
	for _, p := range j.places {
		q := p.p * dot(marks, p.all) / sum
		for i := range r.Delivered {
			if r.Delivered[i].Market == p.terms.market {
				r.Delivered[i].P += q
			}
		}
		if p.terms.wrongBook {
			r.WrongBook += q
		}
	}
	if j.at != nil {
		r.Donor = clamp(1 - j.withoutDonor(marks)/sum)
	}
}

// unseen is the result of a slot of which nothing is known but the record of a
// replacement.
func (m *model) unseen(k int, months []float64) SlotResult {
	p := m.joint.places[0].slots[k]
	out := SlotResult{Name: p.slot.Name, ID: p.slot.ID, POriginal: 1 - p.slot.Replaced, AsNamed: 1 - p.slot.Replaced,
		NamedRight: 1, Surprise: 1, Known: p.slot.Recorded != nil}
	expected := make([]float64, p.outcomes())
	for _, c := range m.joint.places {
		for v, f := range c.slots[k].original {
			expected[v] += c.p * dot(months, f)
		}
	}
	out.Expected = p.shares(expected)
	return out
}

// shares names the outcomes of a slot with their shares, scaled to sum to 1.
func (p *parts) shares(of []float64) []Share {
	sum := total(of)
	out := make([]Share, len(of))
	for v, q := range of {
		out[v] = Share{p.name(v), q / sum}
	}
	return out
}

// slotResult tells whether the part of a slot is original.
func (m *model) slotResult(k int, marks []float64, items []Item) SlotResult {
	j := m.joint
	p := j.places[0].slots[k]
	out := SlotResult{Name: p.slot.Name, ID: p.slot.ID, Seen: p.slot.Seen, Surprise: 1, Known: true, NamedRight: 1}
	var original, alone, donor, first, later float64
	expected := make([]float64, p.outcomes())
	for c := range j.places {
		w, s := j.weigh(c, k, marks), j.places[c].slots[k]
		o, a, d := s.split(w)
		original, alone, donor = original+o, alone+a, donor+d
		if s.seen >= 0 {
			f, l := s.rightlyNamed(w)
			first, later = first+f, later+l
		}
		for v, f := range s.original {
			for i, q := range f {
				expected[v] += marks[i] * j.places[c].p * j.places[c].rest[k][i] * q
			}
		}
	}
	all := original + alone + donor
	out.POriginal, out.FromDonor = clamp(original/all), clamp(donor/all)
	out.AsNamed = out.POriginal
	if p.seen >= 0 {
		out.AsNamed, out.NamedRight = clamp(first/(first+later)), clamp((first+later)/all)
	}
	out.Expected = p.shares(expected)
	for _, it := range items {
		if it.Kind == KindSlot {
			out.Surprise = it.Surprise
		}
	}
	for i := range items {
		if items[i].Kind == KindSlot {
			items[i].Outlier = 1 - out.POriginal
		}
	}
	return out
}

// judgeLive sets what was seen in a slot, and each mark on its part, against all others.
func (m *model) judgeLive(k int, marks, prior []float64) []Item {
	j := m.joint
	p := j.places[0].slots[k]
	var out []Item
	add := func(it Item, alone, without []float64) {
		it.Slot = p.slot.Name
		it.Alone = update(prior, alone)
		it.WithoutP = update(marks, without)
		it.Without = nearest(m.g.first, it.WithoutP, withoutLevel)
		out = append(out, it)
	}
	if p.seen >= 0 {
		it := Item{ID: p.slot.ID, Kind: KindSlot, Surprise: j.partSurprise(k, marks)}
		without := j.mix(func(c place) []float64 {
			if len(p.stamps) == 0 {
				return c.rest[k]
			}
			return c.other[k][len(p.stamps)]
		})
		add(it, j.mix(func(c place) []float64 {
			l, _ := c.slots[k].with(0, 0).factor(p.seen, -1)
			return l
		}), without)
	}
	all := dot(marks, j.like)
	for n, x := range m.onItems[k] {
		without := j.mix(func(c place) []float64 { return c.other[k][n] })
		it := Item{ID: x.id, Kind: x.kind, Surprise: j.stampSurprise(k, n, marks)}
		it.Outlier = clamp(p.stamps[n].stray() * dot(marks, without) / all)
		add(it, j.mix(func(c place) []float64 {
			l, _ := c.slots[k].with(n, n+1).factor(-1, -1)
			return l
		}), without)
	}
	return out
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, x := range a {
		sum += x * b[i]
	}
	return sum
}
