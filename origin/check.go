package origin

import (
	"fmt"
	"math"

	"midcase/edtf"
)

// Limits of what is taken in; they guard against slips of the pen, not against
// odd watches.
const (
	maxSpanMonths = 12 * 150
	maxSoftMonths = 240
	maxLagMonths  = 1200
	maxOnPart     = 20 // stamps on one part
	minMonth      = edtf.Month(1500 * 12)
	maxMonth      = edtf.Month(2200 * 12)
)

// Refusal is an item that cannot be used, and why.
type Refusal struct {
	ID  string // evidence id; of a slot that nobody has looked at its name
	Err error  // names the field, what was found and what would be right
}

// Sound returns the subject without the items that Infer would refuse, so that one of
// them never costs the others, and what was left out. It does not mend the span.
func Sound(s Subject) (Subject, []Refusal) {
	var out []Refusal
	s.Serials = sound(s.Serials, func(x Serial) error { return x.check() },
		func(x Serial) string { return x.ID }, &out)
	on := map[string]int{}
	s.Stamps = sound(s.Stamps, func(x Stamp) error { return x.checkOn(on) },
		func(x Stamp) string { return x.ID }, &out)
	s.Papers = sound(s.Papers, func(x Papers) error { return x.check() },
		func(x Papers) string { return x.ID }, &out)
	s.Stated = sound(s.Stated, func(x Stated) error { return x.check() },
		func(x Stated) string { return x.ID }, &out)
	names := map[string]bool{}
	s.Slots = sound(s.Slots, func(x Slot) error { return x.checkAmong(names) }, func(x Slot) string {
		if x.ID == "" {
			return x.Name
		}
		return x.ID
	}, &out)
	return s, out
}

// sound is the items that pass a check; the others are added to the refusals.
func sound[T any](all []T, check func(T) error, id func(T) string, refused *[]Refusal) []T {
	var out []T
	for _, x := range all {
		if err := check(x); err != nil {
			*refused = append(*refused, Refusal{id(x), err})
			continue
		}
		out = append(out, x)
	}
	return out
}

// check reports the first field that is wrong.
func (s Subject) check() error {
	if err := s.Span.check(); err != nil {
		return err
	}
	for i, x := range s.Serials {
		if err := x.check(); err != nil {
			return fmt.Errorf("serials[%d] %s: %w", i, x.ID, err)
		}
	}
	on := make(map[string]int)
	for i, x := range s.Stamps {
		if err := x.checkOn(on); err != nil {
			return fmt.Errorf("stamps[%d] %s: %w", i, x.ID, err)
		}
	}
	for i, x := range s.Papers {
		if err := x.check(); err != nil {
			return fmt.Errorf("papers[%d] %s: %w", i, x.ID, err)
		}
	}
	for i, x := range s.Stated {
		if err := x.check(); err != nil {
			return fmt.Errorf("stated[%d] %s: %w", i, x.ID, err)
		}
	}
	sum := 0.0
	for i, d := range s.Delivered {
		sum += d.P
		if err := within("p", d.P, 0, 1); err != nil || d.Market == "" || sum > 1+1e-9 {
			return fmt.Errorf("delivered[%d]: market %q with chance %v, want a market and chances that sum to 1 at most", i,
				d.Market, d.P)
		}
	}
	names := make(map[string]bool)
	for i, x := range s.Slots {
		if err := x.checkAmong(names); err != nil {
			return fmt.Errorf("slots[%d] %s: %w", i, x.Name, err)
		}
	}
	return nil
}

// checkOn is check with a limit of the stamps on one part, counted in on.
func (s Stamp) checkOn(on map[string]int) error {
	if on[s.Slot]++; s.Slot != "" && on[s.Slot] > maxOnPart {
		return fmt.Errorf("slot: more than %d stamps on %s", maxOnPart, s.Slot)
	}
	return s.check()
}

// checkAmong is check with a name that none of names has; it is added to them.
func (s Slot) checkAmong(names map[string]bool) error {
	if names[s.Name] {
		return fmt.Errorf("name %q comes twice", s.Name)
	}
	names[s.Name] = true
	return s.check()
}

func (s Span) check() error {
	if s.First == 0 && s.Last == 0 {
		return fmt.Errorf("span: not given, want the production span of the reference")
	}
	if err := period("span", s.First, s.Last, false); err != nil {
		return err
	}
	if n := int(s.Last-s.First) + 1; n > maxSpanMonths {
		return fmt.Errorf("span: %v to %v is %d months, want at most %d", s.First, s.Last, n, maxSpanMonths)
	}
	return within("span.soft_months", s.SoftMonths, 0, maxSoftMonths)
}

func (s Serial) check() error {
	readings := s.Readings
	if len(readings) == 0 {
		readings = []Reading{{First: s.Number, Last: s.Number, Curve: s.Curve, ScatterMonths: s.ScatterMonths,
			DegreesOfFreedom: s.DegreesOfFreedom}}
	}
	for i, r := range readings {
		if err := r.check(); err != nil && len(s.Readings) > 0 {
			return fmt.Errorf("readings[%d].%w", i, err)
		} else if err != nil {
			return err
		}
	}
	return firstOf(
		within("outlier_share", s.OutlierShare, 0, 1),
		within("confidence", s.Confidence, 0, 1))
}

func (r Reading) check() error {
	if r.Curve == nil || r.Curve.cubic == nil {
		return fmt.Errorf("curve: not given, want one made by NewCurve")
	}
	if r.First < 1 {
		return fmt.Errorf("number: %d, want 1 or more", r.First)
	}
	if r.Last < r.First {
		return fmt.Errorf("last: %d comes before the first, %d", r.Last, r.First)
	}
	return firstOf(
		within("scatter_months", r.ScatterMonths, 0, maxLagMonths),
		zeroOrWithin("degrees_of_freedom", r.DegreesOfFreedom, 0.5, 1e6),
		zeroOrWithin("weight", r.Weight, 1e-12, 1e12))
}

func (s Stamp) check() error {
	return firstOf(
		period("period", s.First, s.Last, false),
		within("lag_months", s.LagMonths, 0, maxLagMonths),
		within("outlier_share", s.OutlierShare, 0, 1),
		within("confidence", s.Confidence, 0, 1))
}

func (p Papers) check() error {
	if p.Last == 0 {
		return fmt.Errorf("period: no last month, want the latest month that the papers may mean")
	}
	return firstOf(
		period("period", p.First, p.Last, true),
		within("lag_months", p.LagMonths, 0, maxLagMonths),
		within("outlier_share", p.OutlierShare, 0, 1))
}

func (s Stated) check() error {
	return firstOf(
		period("period", s.First, s.Last, false),
		within("outlier_share", s.OutlierShare, 0, 1))
}

func (s Slot) check() error {
	if s.Name == "" {
		return fmt.Errorf("name: empty, want the name of the slot")
	}
	ids := map[string]bool{"": true, Unknown: true}
	for i, v := range s.Variants {
		if ids[v.ID] {
			return fmt.Errorf("variants[%d].id: %q is empty, reserved or comes twice", i, v.ID)
		}
		ids[v.ID] = true
		if err := v.check(); err != nil {
			return fmt.Errorf("variants[%d] %s: %w", i, v.ID, err)
		}
	}
	if !ids[s.Seen] {
		return fmt.Errorf("seen: no variant %q in this slot, want one of its variants, %q or empty", s.Seen, Unknown)
	}
	if r := s.Recorded; r != nil {
		if !ids[r.Variant] {
			return fmt.Errorf("recorded.variant: no variant %q in this slot, want one of its variants or empty", r.Variant)
		}
		if err := within("recorded.right", r.Right, 0, 1); err != nil {
			return err
		}
	}
	return firstOf(
		within("replaced", s.Replaced, 0, 1),
		within("confidence", s.Confidence, 0, 1))
}

func (v Variant) check() error {
	if v.Service && len(v.Windows) > 0 {
		return fmt.Errorf("windows: found %d on a service part, want none; give service_first and service_last",
			len(v.Windows))
	}
	if err := period("service", v.ServiceFirst, v.ServiceLast, true); err != nil {
		return err
	}
	for i, w := range v.Windows {
		name := fmt.Sprintf("windows[%d]", i)
		if err := firstOf(
			period(name, w.First, w.Last, true),
			within(name+".soft_months", w.SoftMonths, 0, maxSoftMonths),
			zeroOrWithin(name+".share", w.Share, 1e-9, 1e6)); err != nil {
			return err
		}
	}
	return nil
}

// period checks that two months are in order and plausible; open allows 0 for
// either.
func period(name string, first, last edtf.Month, open bool) error {
	for _, m := range []edtf.Month{first, last} {
		if open && m == 0 {
			continue
		}
		if m < minMonth || m > maxMonth {
			return fmt.Errorf("%s: month %v, want one from %v to %v", name, m, minMonth, maxMonth)
		}
	}
	if last < first && !(open && last == 0) {
		return fmt.Errorf("%s: first month %v comes after the last %v", name, first, last)
	}
	return nil
}

func within(name string, x, low, high float64) error {
	if math.IsNaN(x) || x < low || x > high {
		return fmt.Errorf("%s: %v, want %v to %v", name, x, low, high)
	}
	return nil
}

// zeroOrWithin is within for a field where 0 means a default.
func zeroOrWithin(name string, x, low, high float64) error {
	if x == 0 {
		return nil
	}
	if err := within(name, x, low, high); err != nil {
		return fmt.Errorf("%w, or 0 for the default", err)
	}
	return nil
}

func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
