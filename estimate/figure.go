package estimate

import (
	"encoding/json"
	"fmt"
	"math"
)

// Interval is a range with both ends included; JSON [low, high].
type Interval [2]float64

// Low is the lower end.
func (i Interval) Low() float64 { return i[0] }

// High is the upper end.
func (i Interval) High() float64 { return i[1] }

// Contains reports whether x lies in the interval.
func (i Interval) Contains(x float64) bool { return i[0] <= x && x <= i[1] }

// MarshalJSON writes [low, high], with null for an end that is not finite.
func (i Interval) MarshalJSON() ([]byte, error) {
	var out [2]*float64
	for k := range i {
		if !math.IsNaN(i[k]) && !math.IsInf(i[k], 0) {
			v := i[k]
			out[k] = &v
		}
	}
	return json.Marshal(out)
}

// UnmarshalJSON reads [low, high]; null is an end without limit.
func (i *Interval) UnmarshalJSON(b []byte) error {
	var in []*float64
	if err := json.Unmarshal(b, &in); err != nil || len(in) != 2 {
		return fmt.Errorf("interval %s: want [low, high]", b)
	}
	*i = Interval{math.Inf(-1), math.Inf(1)}
	for k, v := range in {
		if v != nil {
			i[k] = *v
		}
	}
	return nil
}

// Source is the sort of thing that a figure can stand on.
type Source string

// The sources that a basis can name.
const (
	Evidence Source = "evidence" // an item of the watch's evidence, by id
	Book     Source = "book"     // an entry of the reference book, by path
	Sale     Source = "sale"     // a sale record, by id
	Setting  Source = "setting"  // a setting of the shop or of the call
)

// Basis points to one thing that a figure stands on, so that a reader can open
// it.
type Basis struct {
	Source Source `json:"source"`
	ID     string `json:"id"`
}

// String writes the basis as source:id.
func (b Basis) String() string { return string(b.Source) + ":" + b.ID }

// Figure is one value of an opinion. The zero Figure cannot be told and gives no
// reason; CannotTell gives one.
type Figure struct {
	Value    float64
	Interval Interval
	Level    float64 // probability content of Interval, such as 0.9; 0 where there is none
	Unit     string  // UCUM-like: mm, g, s/d, deg, ms, percent; empty for a grade
	Reasons  []string
	Basis    []Basis

	known bool
	why   string
}

// Known makes a Figure without an interval, for what is exact or given.
func Known(value float64, unit string, basis ...Basis) Figure {
	return Figure{Value: value, Unit: unit, Basis: basis, known: true}
}

// Between makes a Figure with an interval of the given probability content.
func Between(value, low, high, level float64, unit string, basis ...Basis) Figure {
	return Figure{Value: value, Interval: Interval{low, high}, Level: level, Unit: unit, Basis: basis, known: true}
}

// CannotTell is the Figure for what the evidence does not say, with the reason.
func CannotTell(why string) Figure { return Figure{why: why} }

// Told reports whether there is a value at all.
func (f Figure) Told() bool { return f.known }

// Why is the reason for which the figure cannot be told.
func (f Figure) Why() string { return f.why }

type wireFigure struct {
	Value      *float64  `json:"value"`
	Interval   *Interval `json:"interval,omitempty"`
	Level      float64   `json:"level,omitempty"`
	Unit       string    `json:"unit,omitempty"`
	CannotTell string    `json:"cannot_tell,omitempty"`
	Reasons    []string  `json:"reasons,omitempty"`
	Basis      []Basis   `json:"basis,omitempty"`
}

// MarshalJSON writes {"value":…,"interval":[low,high],"level":0.9,…}; a figure that
// cannot be told, or whose value is not finite, has the value null and the field
// cannot_tell.
func (f Figure) MarshalJSON() ([]byte, error) {
	w := wireFigure{Level: f.Level, Unit: f.Unit, Reasons: f.Reasons, Basis: f.Basis}
	if f.known && (math.IsNaN(f.Value) || math.IsInf(f.Value, 0)) {
		f.known, f.why = false, "the figure is not finite"
	}
	if f.known {
		v := f.Value
		w.Value = &v
		if f.Level > 0 {
			i := f.Interval
			w.Interval = &i
		}
	} else {
		w.CannotTell = f.why
		if f.why == "" {
			w.CannotTell = "nothing recorded"
		}
	}
	return json.Marshal(w)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (f *Figure) UnmarshalJSON(b []byte) error {
	var w wireFigure
	if err := json.Unmarshal(b, &w); err != nil {
		return fmt.Errorf("figure: %w", err)
	}
	*f = Figure{Level: w.Level, Unit: w.Unit, Reasons: w.Reasons, Basis: w.Basis, why: w.CannotTell}
	if w.Value != nil {
		f.Value, f.known = *w.Value, true
	}
	if w.Interval != nil {
		f.Interval = *w.Interval
	}
	return nil
}
