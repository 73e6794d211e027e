package originstudy

import (
	"math"
	"math/rand/v2"

	"midcase/edtf"
	"midcase/origin"
)

// World is what a world of watches has that the plain one does not.
type World struct {
	Swap Swap // of the one part swapped, where there is no donor
	// AnewMonths, where above 0, is after how many months the maker counts anew.
	AnewMonths int
	// NumberOnly leaves nothing but the number to date by.
	NumberOnly bool
	// Donor plants five parts of one other watch of the reference, made 4 to 9 years
	// earlier or later.
	Donor bool
	// WrongWindows is the share of the book's changes that are two years off.
	WrongWindows float64
	// Markets fits, in half of the slots, another variant to the watches for one market,
	// a quarter of all. A document names the market for half of the watches, rightly
	// 95 times in 100.
	Markets bool
}

// run is one count of numbers, from number 1 at its start.
type run struct {
	from, to float64 // months
	base     int64   // the number that the run begins after, in the count that never stops
	curve    *origin.Curve
}

// countAnew cuts the count into runs, each with anchors of its own every 8 to 20
// months and at both ends.
func (b *book) countAnew(r *rand.Rand) error {
	step := float64(b.world.AnewMonths)
	for from := float64(b.span.First) - step*r.Float64(); from < float64(b.span.Last)+6; from += step {
		x := run{from: from, to: from + step, base: b.number(from) - 1}
		var anchors []origin.Anchor
		for m := from + 1; m < x.to; m += 8 + 12*r.Float64() {
			anchors = append(anchors, origin.Anchor{Number: b.number(m) - x.base, Month: edtf.Month(math.Floor(m))})
		}
		last := origin.Anchor{Number: b.number(x.to) - x.base, Month: edtf.Month(math.Floor(x.to))}
		if n := len(anchors); anchors[n-1].Month >= last.Month-2 {
			anchors = anchors[:n-1]
		}
		var err error
		if x.curve, err = origin.NewCurve(append(anchors, last)); err != nil {
			return err
		}
		b.runs = append(b.runs, x)
	}
	return nil
}

// anew is the number of a watch made at t, which every run may claim.
func (b *book) anew(r *rand.Rand, t float64) (origin.Serial, bool) {
	at := t + b.scatter*studentT3(r)
	i := 0
	for i+1 < len(b.runs) && at >= b.runs[i].to {
		i++
	}
	number := max(1, b.number(at)-b.runs[i].base)
	wrong := false
	if r.Float64() < 0.03 {
		number, wrong = misread(r, number), true
	}
	s := origin.Serial{ID: "number", OutlierShare: 0.02}
	for _, x := range b.runs {
		reading := origin.Reading{First: number, Last: number, Curve: x.curve, ScatterMonths: 4}
		if _, _, inside := x.curve.At(number); !inside {
			reading.Weight = 0.05
		}
		s.Readings = append(s.Readings, reading)
	}
	return s, wrong
}

// fitFromDonor puts the parts on a watch, five of them from a donor, and reports whether
// there is one within the span and two parts or more tell it from the watch.
func (b *book) fitFromDonor(r *rand.Rand, w *watch, t float64) bool {
	u := t + (48+60*r.Float64())*float64(1-2*r.IntN(2))
	if u < float64(b.span.First) || u > float64(b.span.Last) {
		return false
	}
	taken := r.Perm(len(b.slots))[:5]
	from := make([]bool, len(b.slots))
	for _, k := range taken {
		from[k] = true
	}
	for k, s := range b.slots {
		v := s.fitted(r, t)
		if !from[k] {
			b.see(w, s, v)
			continue
		}
		v2 := s.fitted(r, u)
		b.see(w, s, v2)
		if v2 != v {
			w.swapped = append(w.swapped, k)
		}
	}
	misname(r, w)
	return len(w.swapped) >= 2
}

// market is where a quarter of the watches were delivered in a world with markets.
const market = "XM"

// forMarket gives the slot a variant for one market: over the middle half of the span
// its watches had another variant, a later or an earlier one, or one of their own.
func (s *slotTruth) forMarket(r *rand.Rand) {
	n := len(s.change) - 1
	from, to := s.change[1]-18*r.Float64(), s.change[n-1]+30*r.Float64()
	own := origin.Variant{ID: s.entry.Name + " market", Windows: []origin.Window{{First: edtf.Month(from),
		Last: edtf.Month(to), SoftMonths: 3, Share: 20, Markets: []string{market}}}}
	s.entry.Variants = append(s.entry.Variants, own)
	at := len(s.entry.Variants) - 1
	s.abroad = func(t float64, v int) int {
		if t >= from && t < to {
			return at
		}
		return v
	}
}

// deliver decides where a watch goes and what a document says of it, and reports
// whether it goes to the market.
func (b *book) deliver(r *rand.Rand, w *watch) bool {
	if !b.world.Markets {
		return false
	}
	abroad := r.Float64() < 0.25
	p := 0.2
	if r.Float64() < 0.5 {
		p = 0.05
		if abroad == (r.Float64() < 0.95) {
			p = 0.95
		}
	}
	w.subject.Delivered = []origin.Delivery{{Market: market, P: p}}
	return abroad
}
