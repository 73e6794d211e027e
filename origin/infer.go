package origin

import (
	"fmt"

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
	Known               bool    // the part was seen, a stamp on it was read, or a replacement is on record
	Surprise            float64 // as Item.Surprise of the variant seen; 1 where none was seen
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
	slots := make([]SlotResult, 0, len(s.Slots))
	for k, g := range m.groups {
		months := posterior(rest[k], nil)
		first := len(r.Items)
		for _, it := range g.items {
			r.Items = append(r.Items, m.judge(it, g, rest[k], months, r.Prior))
		}
		if g.parts != nil {
			slots = append(slots, g.judge(r.P, months, r.Items[first:]))
			for i := first; i < len(r.Items); i++ {
				if r.Items[i].Kind == KindSlot {
					r.Items[i].Outlier = 1 - slots[len(slots)-1].POriginal
				}
			}
		}
	}
	r.Slots = slots
	return r, nil
}

// judge sets an item against all others. rest holds the log weights of the months
// by all other groups, months the same as probabilities.
func (m *model) judge(it item, g group, rest, months, prior []float64) Item {
	out := Item{ID: it.id, Kind: it.kind, Alone: update(prior, it.alone)}
	left := 1.0 // the likelihood of the group without the item
	if it.without == nil {
		out.WithoutP = append([]float64(nil), months...)
	} else {
		out.WithoutP = posterior(rest, it.without)
		left = dot(months, it.without)
	}
	out.Outlier = clamp(it.stray * left / dot(months, g.like))
	if g.parts != nil {
		out.Slot = g.parts.slot.Name
	}
	out.Surprise = it.surprise(months, out.WithoutP)
	out.Without = nearest(m.g.first, out.WithoutP, withoutLevel)
	return out
}

// judge tells whether the part of a slot group is original, by the months given
// everything and the months given all but this group.
func (g group) judge(all, months []float64, items []Item) SlotResult {
	p := g.parts
	out := SlotResult{Name: p.slot.Name, ID: p.slot.ID, Seen: p.slot.Seen, Surprise: 1,
		Known: p.seen >= 0 || len(p.stamps) > 0 || p.slot.Recorded != nil}
	out.POriginal = clamp(dot(all, g.original))
	out.AsNamed, out.NamedRight = out.POriginal, 1
	if p.seen >= 0 {
		first, later := p.rightlyNamed(months)
		out.AsNamed = clamp(first / (first + later))
		out.NamedRight = clamp((first + later) / dot(months, g.like))
	}
	for v, f := range p.original {
		out.Expected = append(out.Expected, Share{p.name(v), dot(months, f)})
	}
	for _, it := range items {
		if it.Kind == KindSlot {
			out.Surprise = it.Surprise
		}
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
