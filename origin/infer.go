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
	// Surprise is the predictive probability, given all other items, of something at
	// least as unexpected as this one: about evenly spread over 0–1 or above that where
	// all is right, near 0 where this item disagrees with the others.
	Surprise float64
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
	Known     bool    // the part was seen, or a stamp on it was read
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
	r := &Result{First: m.g.first, P: posterior(all), Prior: posterior(m.prior)}
	for k, g := range m.groups {
		for _, it := range g.items {
			r.Items = append(r.Items, m.judge(it, g, rest[k]))
		}
	}
	for _, k := range m.slots {
		r.Slots = append(r.Slots, m.groups[k].judge(r, rest[k]))
	}
	return r, nil
}

// judge sets an item against all others.
func (m *model) judge(it item, g group, rest []float64) Item {
	out := Item{ID: it.id, Kind: it.kind, Alone: posterior(m.prior, it.alone), WithoutP: posterior(rest, it.without)}
	if g.parts != nil {
		out.Slot = g.parts.slot.Name
	}
	out.Surprise = it.surprise(rest, out.WithoutP)
	out.Without = shortest(m.g.first, out.WithoutP, withoutLevel)
	return out
}

// judge tells whether the part of a slot group is original.
func (g group) judge(r *Result, rest []float64) SlotResult {
	p := g.parts
	out := SlotResult{Name: p.slot.Name, ID: p.slot.ID, Seen: p.slot.Seen, Surprise: 1,
		Known: p.seen >= 0 || len(p.stamps) > 0}
	for i, q := range r.P {
		out.POriginal += q * g.original[i]
	}
	out.POriginal = clamp(out.POriginal)
	months := posterior(rest)
	for v, f := range p.original {
		sum := 0.0
		for i, q := range months {
			sum += q * f[i]
		}
		out.Expected = append(out.Expected, Share{p.name(v), sum})
	}
	for _, it := range r.Items {
		if it.Kind == KindSlot && it.Slot == out.Name {
			out.Surprise = it.Surprise
		}
	}
	return out
}
