package gate

import (
	"fmt"

	"midcase/condition"
	"midcase/evidence"
	"midcase/refbook"
	"midcase/say"
)

// Known is what an entry is held against.
type Known struct {
	Maker     *refbook.Maker     // nil where the book does not have it
	Reference *refbook.Reference // nil likewise
	File      evidence.File
	Elsewhere string // title of another file with the serial number of the entry; empty where there is none
	Compared  Other  // the watch that a comparison names, as the shop has it
}

// Other is a watch of the shop; the zero Other is none.
type Other struct{ ID, Title string }

// Doubt is one thing that is odd about an entry.
type Doubt struct {
	Field string        `json:"field"`
	Says  say.Statement `json:"says"`
	Meant string        `json:"meant,omitempty"` // what was probably meant, as it would be typed
}

// Doubts says what is odd about an entry; nil where nothing is.
func Doubts(d evidence.Data, k Known) []Doubt {
	switch d := d.(type) {
	case *evidence.Dimension:
		return k.size(d)
	case *evidence.Weighing:
		return k.weight(d)
	case *evidence.Mark:
		return k.mark(d)
	case *evidence.Fitted:
		return append(k.version(d), k.metal("metal", d.Slot, d.Metal)...)
	case *evidence.Rate:
		return rate(d)
	case *evidence.Finding:
		return finding(d)
	case *evidence.Document:
		return append(k.dated(d), k.paperNumber(d)...)
	case *evidence.Comparison:
		return k.comparison(d)
	case *evidence.Claim:
		return append(k.year("year", d.Told.Year), k.metal("metal", evidence.Case, d.Told.Metal)...)
	}
	return nil
}

// Unjudged is the doubt about a finding whose severity nobody gave; ok is false for a good
// point, which has none.
func Unjudged(f *evidence.Finding) (Doubt, bool) {
	t, known := condition.Lookup(f.Term)
	if !known || t.Good {
		return Doubt{}, false
	}
	return Doubt{Field: "severity", Says: say.That("gate.severity",
		say.Term("finding", "finding", t.ID, t.Name), say.Term("part", "slot", string(f.Slot), f.Slot.Name()))}, true
}

// comparison doubts a comparison with nothing, with itself, and with a watch named by another number than its id.
func (k Known) comparison(c *evidence.Comparison) []Doubt {
	switch {
	case c.Other == "": // which is wrong, not odd
		return nil
	case k.Compared == Other{}:
		return []Doubt{{Field: "other", Says: say.That("gate.compared-none", say.Name("other", c.Other))}}
	case k.Compared.ID == k.File.ID:
		return []Doubt{{Field: "other", Says: say.That("gate.compared-itself")}}
	case k.Compared.ID != c.Other:
		return []Doubt{{Field: "other", Meant: k.Compared.ID, Says: say.That("gate.compared-named",
			say.Name("other", c.Other), say.Name("title", k.Compared.Title))}}
	}
	return nil
}

// finding doubts a good point with a severity.
func finding(f *evidence.Finding) []Doubt {
	t, known := condition.Lookup(f.Term)
	if !known || !t.Good || f.Severity == 0 {
		return nil
	}
	return []Doubt{{Field: "severity", Meant: "0", Says: say.That("gate.good-point",
		say.Term("finding", "finding", t.ID, t.Name), say.Count("severity", f.Severity))}}
}

// How a watch runs that still ticks: common practice, no published source.
const (
	mostRate      = 300.0 // s/day
	leastSwing    = 90.0  // degrees
	mostSwing     = 345.0
	mostBeatError = 9.9 // ms
)

func rate(r *evidence.Rate) []Doubt {
	var out []Doubt
	if r.SecPerDay > mostRate || r.SecPerDay < -mostRate {
		out = append(out, Doubt{Field: "s_per_day", Says: say.That("gate.rate", signed("rate", r.SecPerDay))})
	}
	if a := r.AmplitudeDeg; a != 0 && (a < leastSwing || a > mostSwing) {
		meant := ""
		if digits := fmt.Sprintf("%g", a); a > mostSwing {
			meant = near(swapped(digits), 270, 50)
		}
		out = append(out, Doubt{Field: "amplitude_deg", Meant: meant,
			Says: say.That("gate.amplitude", say.Fixed("amplitude", a, say.Degree, 0))})
	}
	if e := r.BeatErrorMS; e != nil && *e > mostBeatError {
		out = append(out, Doubt{Field: "beat_error_ms", Meant: figure(*e / 10),
			Says: say.That("gate.beat-error", say.Fixed("error", *e, say.Millisecond, 1))})
	}
	return out
}

// version doubts a version that the book does not have in the slot.
func (k Known) version(f *evidence.Fitted) []Doubt {
	if k.Reference == nil || f.Absent || f.Variant == "" || f.Variant == evidence.Unknown {
		return nil
	}
	s, ok := k.Reference.Slot(f.Slot)
	if !ok || len(s.Variants) == 0 {
		return nil
	}
	if _, ok := s.Variant(f.Variant); ok || k.ofMaker(f.Slot, f.Variant) {
		return nil
	}
	var has []say.Value
	for _, v := range s.Variants {
		has = append(has, say.Proper(v.ID))
	}
	return []Doubt{{Field: "variant", Says: say.That("gate.version", say.Name("version", f.Variant),
		say.Term("part", "slot", string(f.Slot), f.Slot.Name()), say.All("has", has...))}}
}

// ofMaker reports whether the maker has such a part, whatever references it was made for.
func (k Known) ofMaker(slot evidence.Slot, id string) (ok bool) {
	switch slot {
	case evidence.Movement:
		_, ok = k.Maker.Calibre(id)
	case evidence.Bracelet:
		if _, ok = k.Maker.Bracelet(id); !ok {
			ok = id == "strap"
		}
	case evidence.EndPieces:
		_, ok = k.Maker.EndPiece(id)
	}
	return ok
}

func signed(name string, secPerDay float64) say.Arg {
	return say.Arg{Name: name, Value: say.Measure{Value: secPerDay, Unit: say.SecondPerDay, Decimals: 1,
		Signed: true}}
}
