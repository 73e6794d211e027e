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
}

// watch is one made watch.
type watch struct {
	subject origin.Subject
	made    edtf.Month
	swapped int // index of the swapped slot
	misread bool
}

// String is the swap in words.
func (s Swap) String() string {
	return [...]string{"windows apart", "any other variant", "overlapping windows"}[s]
}

// String is the figures in one line.
func (f Figures) String() string {
	return fmt.Sprintf("%d watches: AUC %.4f, 90 %% interval covers %.1f %% (mass %.1f %%, %.1f months), numbers with surprise below 0.1: %.1f %%",
		f.Watches, f.AUC, 100*f.Coverage, 100*f.MeanMass, f.MeanMonths, 100*f.NumberLow)
}

// Run makes n watches from a seed and judges them.
func Run(n int, seed uint64, swap Swap) (Figures, error) {
	r := rand.New(rand.NewPCG(seed, 1))
	var good, bad []float64
	f := Figures{Watches: n}
	numbers := 0
	var b book
	for i := range n {
		if i%20 == 0 { // twenty watches to each reference
			var err error
			if b, err = newBook(r); err != nil {
				return Figures{}, err
			}
		}
		w := b.makeWatch(r, swap)
		res, err := origin.Infer(w.subject)
		if err != nil {
			return Figures{}, fmt.Errorf("watch %d: %w", i, err)
		}
		for k, s := range res.Slots {
			if k == w.swapped {
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
	f.AUC = auc(bad, good)
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

// book is a reference with its truth.
type book struct {
	span  origin.Span
	start float64   // month of the first number
	pace  []float64 // numbers a month, year by year
	curve *origin.Curve
	// scatter is the true scale in months of how far numbers stray.
	scatter float64
	slots   []slotTruth
}

// slotTruth is the factory's truth of one slot: variant v was fitted from change[v]
// to change[v+1], coming in on a straight line over fade[v] months.
type slotTruth struct {
	change, fade []float64
	entry        origin.Slot
}

func newBook(r *rand.Rand) (book, error) {
	first := edtf.MonthOf(1955+r.IntN(8), 1+r.IntN(12))
	last := first + edtf.Month(96+r.IntN(121)) // 8 to 18 years
	b := book{span: origin.Span{First: first, Last: last, SoftMonths: 4}, start: float64(first) - 60,
		scatter: 3 + 2*r.Float64()}
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
		b.slots = append(b.slots, newSlot(r, name, b.span))
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
func newSlot(r *rand.Rand, name string, span origin.Span) slotTruth {
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
	for v := range n {
		w := origin.Window{SoftMonths: 3}
		if v > 0 {
			w.First = edtf.Month(math.Round(s.change[v])) + edtf.Month(r.IntN(5)-2)
		}
		if v < n-1 {
			w.Last = edtf.Month(math.Round(s.change[v+1])) + edtf.Month(r.IntN(5)-2)
		}
		s.entry.Variants = append(s.entry.Variants, origin.Variant{ID: fmt.Sprintf("%s %d", name, v+1),
			Windows: []origin.Window{w}})
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

// makeWatch makes a watch and swaps one of its parts.
func (b *book) makeWatch(r *rand.Rand, swap Swap) watch {
	for {
		length := float64(b.span.Last-b.span.First) + 1
		// Slow start, long height, slow end.
		t := float64(b.span.First) + length*(r.Float64()+0.25*r.Float64())/1.25
		w := watch{made: edtf.Month(math.Floor(t)), subject: origin.Subject{Span: b.span}}
		if w.swapped = b.fit(r, &w, t, swap); w.swapped < 0 {
			continue // nothing to plant in this month
		}
		b.mark(r, &w, t)
		return w
	}
}

// fit puts the parts on a watch and returns the slot that was swapped, −1 where
// none can be.
func (b *book) fit(r *rand.Rand, w *watch, t float64, swap Swap) int {
	var open []int
	choice := make([][]int, len(b.slots))
	for k, s := range b.slots {
		v := s.fitted(r, t)
		e := s.entry
		e.ID = "seen " + e.Name
		e.Confidence = 0.98
		e.Seen = e.Variants[v].ID
		w.subject.Slots = append(w.subject.Slots, e)
		if choice[k] = s.swaps(t, v, swap); len(choice[k]) > 0 {
			open = append(open, k)
		}
	}
	if len(open) == 0 {
		return -1
	}
	k := open[r.IntN(len(open))]
	w.subject.Slots[k].Seen = b.slots[k].entry.Variants[choice[k][r.IntN(len(choice[k]))]].ID
	for j := range w.subject.Slots {
		if vs := w.subject.Slots[j].Variants; j != k && r.Float64() < 0.02 {
			w.subject.Slots[j].Seen = vs[r.IntN(len(vs))].ID // named wrongly
		}
	}
	return k
}

// mark gives the watch its number and, to some, a stamp, papers or both.
func (b *book) mark(r *rand.Rand, w *watch, t float64) {
	number := b.number(t + b.scatter*studentT3(r))
	if r.Float64() < 0.03 {
		number, w.misread = misread(r, number), true
	}
	w.subject.Serials = []origin.Serial{{ID: "number", Number: number, Curve: b.curve, ScatterMonths: 4,
		OutlierShare: 0.02}}
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
