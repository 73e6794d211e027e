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
		if on[x.Slot]++; x.Slot != "" && on[x.Slot] > maxOnPart {
			return fmt.Errorf("stamps[%d] %s: slot: more than %d stamps on %s", i, x.ID, maxOnPart, x.Slot)
		}
		if err := x.check(); err != nil {
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
	names := make(map[string]bool)
	for i, x := range s.Slots {
		if names[x.Name] {
			return fmt.Errorf("slots[%d]: name %q comes twice", i, x.Name)
		}
		names[x.Name] = true
		if err := x.check(); err != nil {
			return fmt.Errorf("slots[%d] %s: %w", i, x.Name, err)
		}
	}
	return nil
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
	if s.Curve == nil || s.Curve.cubic == nil {
		return fmt.Errorf("curve: not given, want one made by NewCurve")
	}
	if s.Number < 1 {
		return fmt.Errorf("number: %d, want 1 or more", s.Number)
	}
	return firstOf(
		within("scatter_months", s.ScatterMonths, 0, maxLagMonths),
		zeroOrWithin("degrees_of_freedom", s.DegreesOfFreedom, 0.5, 1e6),
		within("outlier_share", s.OutlierShare, 0, 1),
		within("confidence", s.Confidence, 0, 1))
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
