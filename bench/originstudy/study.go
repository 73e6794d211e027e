// Package originstudy makes watches from a documented truth, plants one swapped
// part in each, and measures how well package origin finds the part and the date.
//
// The truth is not the model. Watches are made at a pace that rises and falls over
// the span (the model: level). Numbers follow a pace that changes each year, and
// stray by a Student t of 3 degrees of freedom and a scale of 3 to 5 months that
// differs by reference (the book: 4 degrees and 4 months); 3 in 100 numbers are read with one digit
// wrong (the book: 2 in 100). The book
// has an anchor every 15 to 40 months. A new variant replaces the old one on a
// straight line over 0 to 14 months (the book: a logistic edge of 3 months, its date
// off by up to 2 months). Stamps precede the watch by a gamma lag, papers follow by
// a lognormal one (the model: exponential). One variant in 50 is named wrongly.
//
// Read Run first.
package originstudy

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sort"

	"midcase/edtf"
	"midcase/origin"
)

// Swap says which parts may be planted.
type Swap int

// The sorts of swap, from far to near in time.
const (
	// Apart plants a variant that the factory fitted at no time within a year of the
	// watch.
	Apart Swap = iota
	// Any plants any other variant, also the one that came in a month later.
	Any
	// Overlapping plants a variant that the factory still, or already, fitted when the
	// watch was made.
	Overlapping
)

// Figures are what the study measures.
type Figures struct {
	Watches    int
	AUC        float64 // chance that a swapped part has a lower POriginal than another part
	Coverage   float64 // share of watches made within the 90 % interval of whole months
	MeanMass   float64 // mean probability that the model gives that interval
	MeanMonths float64 // mean length of that interval
	// NumberLow is the share of numbers read right that have a surprise below 0.1; a
	// share near 0.1 means that the surprise may be taken at its word.
	NumberLow float64
	// Found is the share of swapped parts found at the threshold that 3 in 100 of the
	// other parts pass.
	Found float64
	// GoodLow is the share of the other parts with a POriginal below one half.
	GoodLow float64
}

// watch is one made watch.
type watch struct {
	subject origin.Subject
	made    edtf.Month
	swapped []int // indices of the swapped slots
	misread bool
}

// String is the swap in words.
func (s Swap) String() string {
	return [...]string{"windows apart", "any other variant", "overlapping windows"}[s]
}

// String is the figures in one line.
func (f Figures) String() string {
	return fmt.Sprintf("%d watches: AUC %.4f, 90 %% interval covers %.1f %% (mass %.1f %%, %.1f months), numbers with surprise below 0.1: %.1f %%, found %.1f %% at 3 %% false, %.1f %% of the others below one half",
		f.Watches, f.AUC, 100*f.Coverage, 100*f.MeanMass, f.MeanMonths, 100*f.NumberLow, 100*f.Found, 100*f.GoodLow)
}

// Run makes n watches of the plain world from a seed and judges them.
func Run(n int, seed uint64, swap Swap) (Figures, error) { return RunIn(World{Swap: swap}, n, seed) }

// RunIn makes n watches of a world from a seed and judges them.
func RunIn(world World, n int, seed uint64) (Figures, error) {
	r := rand.New(rand.NewPCG(seed, 1))
	var good, bad []float64
	f := Figures{Watches: n}
	numbers := 0
	var b book
	for i := range n {
		if i%20 == 0 { // twenty watches to each reference
			var err error
			if b, err = newBook(r, world); err != nil {
				return Figures{}, err
			}
		}
		w := b.makeWatch(r)
		res, err := origin.Infer(w.subject)
		if err != nil {
			return Figures{}, fmt.Errorf("watch %d: %w", i, err)
		}
		for k, s := range res.Slots {
			if slices.Contains(w.swapped, k) {
				bad = append(bad, 1-s.POriginal)
			} else {
				good = append(good, 1-s.POriginal)
			}
		}
		in := res.Interval(0.9)
		if in[0] <= w.made && w.made <= in[1] {
			f.Coverage++
		}
		f.MeanMass += res.Mass(in)
		f.MeanMonths += float64(in[1]-in[0]) + 1
		if !w.misread {
			numbers++
			if res.Items[0].Surprise < 0.1 {
				f.NumberLow++
			}
		}
	}
	if len(bad) > 0 {
		f.AUC = auc(bad, good)
		f.Found = found(bad, good, 0.03)
	}
	for _, x := range good {
		if x > 0.5 {
			f.GoodLow += 1 / float64(len(good))
		}
	}
	f.Coverage /= float64(n)
	f.MeanMass /= float64(n)
	f.MeanMonths /= float64(n)
	f.NumberLow /= float64(numbers)
	return f, nil
}

// auc is the Mann–Whitney estimate of the area under the ROC curve: the chance that
// a bad score is above a good one, ties counted half.
func auc(bad, good []float64) float64 {
	sort.Float64s(good)
	sum := 0.0
	for _, x := range bad {
		below := sort.SearchFloat64s(good, x)
		upTo := sort.Search(len(good), func(i int) bool { return good[i] > x })
		sum += float64(below) + float64(upTo-below)/2
	}
	return sum / float64(len(bad)) / float64(len(good))
}

// found is the share of bad above the threshold that a share of good passes.
func found(bad, good []float64, pass float64) float64 {
	sort.Float64s(good)
	threshold := good[int(float64(len(good))*(1-pass))]
	n := 0.0
	for _, x := range bad {
		if x > threshold {
			n++
		}
	}
	return n / float64(len(bad))
}

// book is a reference with its truth.
type book struct {
	span  origin.Span
	start float64   // month of the first number
	pace  []float64 // numbers a month, year by year
	curve *origin.Curve
	// scatter is the true scale in months of how far numbers stray.
	scatter float64
	slots   []slotTruth
	world   World
	runs    []run // where the maker counts anew
}

// slotTruth is the factory's truth of one slot: variant v was fitted from change[v]
// to change[v+1], coming in on a straight line over fade[v] months.
type slotTruth struct {
	change, fade []float64
	entry        origin.Slot
	abroad       func(t float64, v int) int // what is fitted for the market instead of v
}

func newBook(r *rand.Rand, world World) (book, error) {
	first := edtf.MonthOf(1955+r.IntN(8), 1+r.IntN(12))
	last := first + edtf.Month(96+r.IntN(121)) // 8 to 18 years
	b := book{span: origin.Span{First: first, Last: last, SoftMonths: 4}, start: float64(first) - 60,
		scatter: 3 + 2*r.Float64(), world: world}
	for range 60 {
		b.pace = append(b.pace, 3000*math.Exp(0.35*r.NormFloat64()))
	}
	var anchors []origin.Anchor
	for m := first - 48 + edtf.Month(r.IntN(12)); m < last+60; m += edtf.Month(15 + r.IntN(26)) {
		anchors = append(anchors, origin.Anchor{Number: b.number(float64(m)), Month: m})
	}
	var err error
	if b.curve, err = origin.NewCurve(anchors); err != nil {
		return book{}, err
	}
	for _, name := range []string{"dial", "hands", "bezel", "crown", "case back", "bracelet", "clasp"} {
		b.slots = append(b.slots, newSlot(r, name, b.span, world))
	}
	if world.AnewMonths > 0 {
		return b, b.countAnew(r)
	}
	return b, nil
}

// number is the true number of time t.
func (b *book) number(t float64) int64 {
	n := 100_000.0
	for i, p := range b.pace {
		months := math.Min(12, math.Max(0, t-b.start-12*float64(i)))
		n += months * p
	}
	return int64(n)
}

// newSlot gives a slot three to five variants one after the other, and one service
// part.
func newSlot(r *rand.Rand, name string, span origin.Span, world World) slotTruth {
	n := 3 + r.IntN(3)
	length := float64(span.Last-span.First) + 1
	s := slotTruth{entry: origin.Slot{Name: name, Replaced: 0.12}}
	for v := range n {
		at := float64(span.First) + length*(float64(v)+0.5*(r.Float64()-0.5))/float64(n)
		if v == 0 {
			at = 0
		}
		s.change = append(s.change, at)
		s.fade = append(s.fade, 14*r.Float64())
	}
	s.change = append(s.change, 1e9)
	s.fade = append(s.fade, 0)
	off := make([]edtf.Month, n+1) // by how much the book is wrong about each change
	for v := range off {
		off[v] = edtf.Month(r.IntN(5) - 2)
		if r.Float64() < world.WrongWindows {
			off[v] += edtf.Month(24 * (1 - 2*r.IntN(2)))
		}
	}
	for v := range n {
		w := origin.Window{SoftMonths: 3}
		if v > 0 {
			w.First = edtf.Month(math.Round(s.change[v])) + off[v]
		}
		if v < n-1 {
			w.Last = edtf.Month(math.Round(s.change[v+1])) + off[v+1]
		}
		if w.First > w.Last && w.Last != 0 {
			w.First = w.Last
		}
		s.entry.Variants = append(s.entry.Variants, origin.Variant{ID: fmt.Sprintf("%s %d", name, v+1),
			Windows: []origin.Window{w}})
	}
	if world.Markets && r.Float64() < 0.5 {
		s.forMarket(r)
	}
	s.entry.Variants = append(s.entry.Variants, origin.Variant{ID: name + " service", Service: true,
		ServiceFirst: span.Last})
	return s
}

// fitted is the true variant of a watch made at time t.
func (s slotTruth) fitted(r *rand.Rand, t float64) int {
	v := 0
	for k := 1; k+1 < len(s.change); k++ {
		// The middle of the fade is the change.
		if t > s.change[k]+s.fade[k]*(r.Float64()-0.5) {
			v = k
		}
	}
	return v
}

// swaps lists the variants that may be planted.
func (s slotTruth) swaps(t float64, original int, swap Swap) []int {
	var out []int
	for v := range len(s.change) - 1 {
		if v == original {
			continue
		}
		// How far the time lies outside the months in which v was fitted.
		away := math.Max(s.change[v]-s.fade[v]/2-t, t-s.change[v+1]-s.fade[v+1]/2)
		switch {
		case swap == Any, swap == Apart && away >= 12, swap == Overlapping && away <= 0:
			out = append(out, v)
		}
	}
	return out
}

// makeWatch makes a watch and swaps parts of it.
func (b *book) makeWatch(r *rand.Rand) watch {
	for {
		length := float64(b.span.Last-b.span.First) + 1
		// Slow start, long height, slow end.
		t := float64(b.span.First) + length*(r.Float64()+0.25*r.Float64())/1.25
		w := watch{made: edtf.Month(math.Floor(t)), subject: origin.Subject{Span: b.span}}
		abroad := b.deliver(r, &w)
		ok := false
		if b.world.Donor {
			ok = b.fitFromDonor(r, &w, t)
		} else {
			ok = b.fit(r, &w, t, abroad)
		}
		if !ok {
			continue // nothing to plant in this month
		}
		b.mark(r, &w, t)
		return w
	}
}

// fit puts the parts on a watch, swaps one, and reports whether one can be.
func (b *book) fit(r *rand.Rand, w *watch, t float64, abroad bool) bool {
	var open []int
	choice := make([][]int, len(b.slots))
	for k, s := range b.slots {
		v := s.fitted(r, t)
		if abroad && s.abroad != nil {
			v = s.abroad(t, v)
		}
		b.see(w, s, v)
		if choice[k] = s.swaps(t, v, b.world.Swap); len(choice[k]) > 0 && !(abroad && s.abroad != nil) {
			open = append(open, k)
		}
	}
	if len(open) == 0 {
		return false
	}
	k := open[r.IntN(len(open))]
	w.subject.Slots[k].Seen = b.slots[k].entry.Variants[choice[k][r.IntN(len(choice[k]))]].ID
	w.swapped = []int{k}
	misname(r, w)
	return true
}

// see puts a variant into a slot of the watch.
func (b *book) see(w *watch, s slotTruth, v int) {
	e := s.entry
	e.ID = "seen " + e.Name
	e.Confidence = 0.98
	e.Seen = e.Variants[v].ID
	w.subject.Slots = append(w.subject.Slots, e)
}

// misname names one part in fifty wrongly, but none that was swapped.
func misname(r *rand.Rand, w *watch) {
	for j := range w.subject.Slots {
		vs := w.subject.Slots[j].Variants
		if !slices.Contains(w.swapped, j) && r.Float64() < 0.02 {
			w.subject.Slots[j].Seen = vs[r.IntN(len(vs))].ID
		}
	}
}

// mark gives the watch its number and, to some, a stamp, papers or both.
func (b *book) mark(r *rand.Rand, w *watch, t float64) {
	number := b.number(t + b.scatter*studentT3(r))
	if r.Float64() < 0.03 {
		number, w.misread = misread(r, number), true
	}
	w.subject.Serials = []origin.Serial{{ID: "number", Number: number, Curve: b.curve, ScatterMonths: 4,
		OutlierShare: 0.02}}
	if b.runs != nil {
		w.subject.Serials[0], w.misread = b.anew(r, t)
	}
	if b.world.NumberOnly {
		w.subject.Slots = nil
		w.swapped = nil
		return
	}
	if r.Float64() < 0.3 {
		q := edtf.Month(math.Floor((t-2*(r.ExpFloat64()+r.ExpFloat64()))/3) * 3)
		w.subject.Stamps = []origin.Stamp{{ID: "stamp", First: q, Last: q + 2, LagMonths: 4, OutlierShare: 0.02}}
	}
	if r.Float64() < 0.3 {
		m := edtf.Month(math.Floor(t + 6*math.Exp(0.9*r.NormFloat64())))
		w.subject.Papers = []origin.Papers{{ID: "papers", First: m, Last: m, LagMonths: 10, OutlierShare: 0.05}}
	}
}

// studentT3 draws from Student's t with 3 degrees of freedom.
func studentT3(r *rand.Rand) float64 {
	chi := 0.0
	for range 3 {
		z := r.NormFloat64()
		chi += z * z
	}
	return r.NormFloat64() / math.Sqrt(chi/3)
}

// misread changes one digit.
func misread(r *rand.Rand, n int64) int64 {
	d := []byte(fmt.Sprint(n))
	d[r.IntN(len(d))] = byte('0' + r.IntN(10))
	out := int64(0)
	for _, c := range d {
		out = 10*out + int64(c-'0')
	}
	return max(1, out)
}
