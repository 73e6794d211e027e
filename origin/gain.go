package origin

import (
	"fmt"
	"math"

	"midcase/edtf"
)

// Candidate is an observation that has not been made.
type Candidate struct {
	// Kind is KindSlot (look at the part in Slot), KindSerial (read a number, see
	// Serial) or KindStamp (read a stamp, see Stamp).
	Kind string
	// Slot is the name of the slot to look at; the subject lists it with Seen "".
	Slot string
	// Confidence, 0–1, is how surely the variant will be named; 0 counts as 1.
	Confidence float64
	// Serial says how the number would be used; its Number is not.
	Serial Serial
	// Stamp says how the stamp would be used; its First and Last are not. Its Slot
	// says which part carries it.
	Stamp Stamp
	// PeriodMonths is how long a period the stamp would mean, 1 or more: 3 for a
	// quarter, 12 for a year.
	PeriodMonths int
}

// Gain is what an observation is worth on average over what it may show, weighed by
// how likely each is. No observation has a gain below 0 on average, though a
// single one may well bring more doubt.
type Gain struct {
	// DateBits is the expected fall of the doubt about the month, in bits
	// (Result.Entropy).
	DateBits float64
	// PartBits is the expected fall of the doubt about which parts are original, in
	// bits, summed over the slots.
	PartBits float64
	// WrongCalls is the expected fall of the number of parts that would be called
	// wrongly if each were called by its likelier side. (The expected number of wrong
	// parts itself cannot fall: on average over what may be seen it stays as it is.)
	WrongCalls float64
}

// outcome is one thing that an observation may show.
type outcome struct {
	likelihood []float64 // over months, given all that is known already
	// original replaces the chances by month that the part of slot is original.
	slot     int // index in Subject.Slots, -1 for none
	original []float64
}

// ExpectedGain works out what an observation would be worth before it is made, by
// summing over everything that it may show.
func ExpectedGain(s Subject, c Candidate) (Gain, error) {
	g, err := ExpectedGains(s, c)
	if err != nil {
		return Gain{}, err
	}
	return g[0], nil
}

// ExpectedGains is ExpectedGain of several candidates, each taken alone; it is
// quicker than as many calls.
func ExpectedGains(s Subject, candidates ...Candidate) ([]Gain, error) {
	if err := s.check(); err != nil {
		return nil, fmt.Errorf("origin: %w", err)
	}
	for i, c := range candidates {
		if err := c.check(s); err != nil {
			return nil, fmt.Errorf("origin: candidates[%d]: %w", i, err)
		}
	}
	m := newModel(s)
	now := posterior(m.everything(), nil)
	m.place = m.joint.likeliest(posterior(m.marks(), nil))
	for k := range s.Slots {
		m.original = append(m.original, m.joint.original(k))
	}
	out := make([]Gain, 0, len(candidates))
	for _, c := range candidates {
		out = append(out, m.gain(now, m.shows(s, c)))
	}
	return out, nil
}

// shows lists what an observation may show.
func (m *model) shows(s Subject, c Candidate) []outcome {
	switch c.Kind {
	case KindSlot:
		return m.lookAt(slotIndex(s, c.Slot), c.Confidence)
	case KindSerial:
		return m.readNumber(c.Serial)
	}
	return m.readStamp(slotIndex(s, c.Stamp.Slot), c.Stamp, c.PeriodMonths)
}

func (c Candidate) check(s Subject) error {
	switch c.Kind {
	case KindSlot:
		i := slotIndex(s, c.Slot)
		if i < 0 {
			return fmt.Errorf("slot: %q is not listed in the subject", c.Slot)
		}
		if s.Slots[i].Seen != "" {
			return fmt.Errorf("slot: %q was looked at already", c.Slot)
		}
		return within("confidence", c.Confidence, 0, 1)
	case KindSerial:
		x := c.Serial
		x.Number = 1
		return x.check()
	case KindStamp:
		if c.PeriodMonths < 1 || c.PeriodMonths > maxLagMonths {
			return fmt.Errorf("period_months: %d, want 1 to %d", c.PeriodMonths, maxLagMonths)
		}
		x := c.Stamp
		x.First, x.Last = s.Span.First, s.Span.Last
		return x.check()
	}
	return fmt.Errorf("kind: %q, want %q, %q or %q", c.Kind, KindSlot, KindSerial, KindStamp)
}

// slotIndex is the place of a slot in the subject, -1 where it is not listed.
func slotIndex(s Subject, name string) int {
	for i, x := range s.Slots {
		if x.Name == name {
			return i
		}
	}
	return -1
}

// lookAt lists the variants that may be seen in a slot.
func (m *model) lookAt(slot int, confidence float64) []outcome {
	p := *m.place.slots[slot]
	before, _ := p.factor(p.seen, -1)
	if len(p.slot.Variants) > 0 {
		p.sure = stated(confidence)
	}
	out := make([]outcome, p.outcomes())
	for v := range out {
		like, original := p.factor(v, -1)
		out[v] = outcome{likelihood: ratio(like, before), slot: slot, original: original}
	}
	return out
}

// readNumber lists the months to which a number may belong by its curve, scaled so
// that their chances sum to 1 for a watch of any month.
func (m *model) readNumber(s Serial) []outcome {
	r := Reading{Curve: s.Curve, ScatterMonths: s.ScatterMonths, DegreesOfFreedom: s.DegreesOfFreedom}
	step := max(1, int(scale(s.ScatterMonths, 0, true))) // what is summed is smooth on that scale
	pad := (int(10*s.ScatterMonths) + 12) / step * step
	out := make([]outcome, 0, (m.g.n+2*pad)/step+1)
	sum := make([]float64, m.g.n)
	for k := -pad; k < m.g.n+pad; k += step {
		at := m.g.month(k)
		gap, inside := s.Curve.gap(at)
		n := numbered{is: []placed{placedAt(r, at, gap, inside)}, eps: outlier(s.OutlierShare, s.Confidence), g: m.g}
		l := n.likelihood(m.g)
		addTo(sum, l)
		out = append(out, outcome{likelihood: l, slot: -1})
	}
	for _, o := range out {
		for i := range o.likelihood {
			o.likelihood[i] /= sum[i]
		}
	}
	return out
}

// readStamp lists the periods that a stamp may mean; slot is -1 for a stamp that
// depends on no listed part.
func (m *model) readStamp(slot int, s Stamp, months int) []outcome {
	const lags = 12 // e⁻¹² of all stamps are older than that many mean lags
	before := int(math.Ceil(lags*s.LagMonths)) + 1
	span := m.g.n + before
	if slot >= 0 {
		span += laterMonths
	}
	count := (span + months - 1) / months
	tiles := grid{first: m.g.first - edtf.Month(before), n: count * months}
	var on parts
	var now []float64
	if slot >= 0 {
		on = *m.place.slots[slot]
		now, _ = on.factor(on.seen, -1)
		if on.made == nil {
			on.dateReplacements()
		}
	}
	out := make([]outcome, count)
	for k := range out {
		s.First = tiles.first + edtf.Month(k*months)
		s.Last = s.First + edtf.Month(months-1)
		d := s.dated(tiles)
		if slot < 0 {
			out[k] = outcome{likelihood: d.likelihood(m.g), slot: -1}
			continue
		}
		p := on
		p.stamps = append(append([]mark(nil), p.stamps...), d)
		p.on = append(append([][]float64(nil), p.on...), d.likelihood(p.later))
		like, original := p.factor(p.seen, -1)
		out[k] = outcome{likelihood: ratio(like, now), slot: slot, original: original}
	}
	return out
}

// ratio is a/b month by month.
func ratio(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] / b[i]
	}
	return out
}

// gain sets the doubt now against the mean doubt after the observation.
func (m *model) gain(now []float64, shows []outcome) Gain {
	date, bits, wrong := m.doubt(now, outcome{slot: -1})
	total := 0.0
	var after Gain
	months := make([]float64, len(now))
	for _, o := range shows {
		p := 0.0
		for i, q := range now {
			months[i] = q * o.likelihood[i]
			p += months[i]
		}
		if p == 0 {
			continue
		}
		for i := range months {
			months[i] /= p
		}
		d, b, w := m.doubt(months, o)
		after.DateBits += p * d
		after.PartBits += p * b
		after.WrongCalls += p * w
		total += p
	}
	return Gain{
		DateBits:   math.Max(0, date-after.DateBits/total),
		PartBits:   math.Max(0, bits-after.PartBits/total),
		WrongCalls: math.Max(0, wrong-after.WrongCalls/total),
	}
}

// doubt is the entropy of the months, the entropy of original-or-not summed over
// the slots, and the expected number of wrong calls.
func (m *model) doubt(months []float64, o outcome) (date, bits, wrong float64) {
	for j, chances := range m.original {
		if j == o.slot {
			chances = o.original
		}
		p := clamp(dot(months, chances))
		bits += entropy([]float64{p, 1 - p})
		wrong += math.Min(p, 1-p)
	}
	return entropy(months), bits, wrong
}
