package examples

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"midcase/evidence"
	"midcase/refbook"
)

// Share is how many of the examples show a version, a metal, or reached the shop in one way.
type Share struct {
	Slot       evidence.Slot `json:"slot,omitempty"` // none for a metal
	What       string        `json:"what"`
	N          int           `json:"n"`
	Of         int           `json:"of"`
	Share      float64       `json:"share"`
	Interval90 [2]float64    `json:"interval_90"`
}

// Rarity is how common the versions and metals of a reference are among the examples, and how these reached the shop.
// It counts every watch once, dated or not; service parts are counted too, since they are what a buyer meets.
type Rarity struct {
	Examples int     `json:"examples"`
	Versions []Share `json:"versions"`
	Metals   []Share `json:"metals"`
	Reach    []Share `json:"reached"` // by how they were seen; "" where nobody said
}

// CountOf counts the examples of a reference.
func CountOf(m *refbook.Maker, ref *refbook.Reference, all []Example) Rarity {
	type place struct {
		slot evidence.Slot
		what string
	}
	versions, metals, reach, ofSlot := map[place]int{}, map[place]int{}, map[place]int{}, map[evidence.Slot]int{}
	out, known := Rarity{}, 0
	seen := map[string]string{}
	for _, e := range all {
		if !isOf(e, m, ref) {
			continue
		}
		if _, again := before(seen, e); again {
			continue
		}
		out.Examples++
		reach[place{"", e.Place}]++
		if e.Metal != "" {
			metals[place{"", e.Metal}]++
			known++
		}
		for slot, v := range e.Parts {
			if !strings.EqualFold(v, evidence.Unknown) {
				versions[place{slot, Named(ref, slot, v)}]++
				ofSlot[slot]++
			}
		}
	}
	list := func(counts map[place]int, of func(evidence.Slot) int) []Share {
		shares := []Share{}
		for p, n := range counts {
			shares = append(shares, Share{p.slot, p.what, n, of(p.slot), float64(n) / float64(of(p.slot)),
				shareInterval(n, of(p.slot))})
		}
		slots := evidence.Slots()
		slices.SortFunc(shares, func(a, b Share) int {
			return cmp.Or(cmp.Compare(slices.Index(slots, a.Slot), slices.Index(slots, b.Slot)), cmp.Compare(b.N, a.N),
				strings.Compare(a.What, b.What))
		})
		return shares
	}
	out.Versions = list(versions, func(s evidence.Slot) int { return ofSlot[s] })
	out.Metals = list(metals, func(evidence.Slot) int { return known })
	out.Reach = list(reach, func(evidence.Slot) int { return out.Examples })
	return out
}

// shareInterval is the 90 % interval of Jeffreys for n of so many: the quantiles of Beta(n + ½, of − n + ½), open to 0
// and 1 where none or all show it (Brown, Cai and DasGupta, Statistical Science 16, 2001).
func shareInterval(n, of int) [2]float64 {
	b := distuv.Beta{Alpha: float64(n) + 0.5, Beta: float64(of-n) + 0.5}
	out := [2]float64{b.Quantile(0.05), b.Quantile(0.95)}
	if n == 0 {
		out[0] = 0
	}
	if n == of {
		out[1] = 1
	}
	return [2]float64{math.Round(1e4*out[0]) / 1e4, math.Round(1e4*out[1]) / 1e4}
}
