package chart

import (
	"math"
	"strings"
)

// Format is what a drawing is made for: a wide page, a phone, a paper.
type Format struct {
	Name  string // class of the style sheet
	Width float64
	Left  float64 // width of the column of labels; 0 where they stand above the rows
	Rows  int     // at most
	Ticks float64 // labels along an axis, about

	letter float64 // mean width of a letter of a label
}

// The formats. A paper is as wide as 13 units of text at its size of small type.
var (
	Broad  = Format{Name: "broad", Width: 760, Left: 272, Rows: 8, Ticks: 8, letter: 5.9}
	Narrow = Format{Name: "narrow", Width: 360, Rows: 8, Ticks: 4, letter: 5.9}
	Paper  = Format{Name: "paper", Width: 674, Left: 250, Rows: 16, Ticks: 7, letter: 6.6}
)

const (
	margin  = 2.0
	toLabel = 10.0 // between a label and the chart
	axisH   = 24.0 // an axis with its figures
)

func (f Format) drawing(label string) *Drawing {
	return &Drawing{Format: f, Label: label, Width: f.Width}
}

// label fits a text into the column of labels.
func (f Format) label(text string) string {
	room := f.Left - toLabel
	if f.Left == 0 {
		room = f.Width - margin
	}
	return shorten(text, int(room/f.letter))
}

// rowLabel writes the label of a row beside it, or above it where there is no column.
func (d *Drawing) rowLabel(style, text string, top, height float64) {
	if d.Format.Left == 0 {
		d.text(style, margin, top+13, Start, d.Format.label(text))
		return
	}
	d.text(style, d.Format.Left-toLabel, top+height/2+4.5, End, d.Format.label(text))
}

// shorten keeps a label within so many characters.
func shorten(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return strings.TrimRight(string(r[:max(n-1, 0)]), " ,:;") + "…"
}

// scale maps values from low–high to places from–to. Values beyond an end stand at it.
type scale struct{ low, high, from, to float64 }

func (s scale) at(v float64) float64 {
	if s.high <= s.low {
		return s.from
	}
	return s.from + max(0, min(1, (v-s.low)/(s.high-s.low)))*(s.to-s.from)
}

// Step is the smallest of 1, 2 or 5 times a power of ten that is not below v.
func Step(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 2, 5} {
		if k*p >= v*(1-1e-12) {
			return k * p
		}
	}
	return 10 * p
}

// ticks are the multiples of a round step within the scale, about n of them.
func (s scale) ticks(n float64) (values []float64, step float64) {
	if !(s.high > s.low) || !finite(s.high-s.low) {
		return nil, 1
	}
	step = Step((s.high - s.low) / n)
	for k := math.Ceil(s.low/step - 1e-9); k*step <= s.high+step*1e-9; k++ {
		values = append(values, k*step+0) // + 0 turns −0 into 0
	}
	return values, step
}

// decimals is how many places after the point a multiple of the step needs.
func decimals(step float64) int { return max(0, int(-math.Floor(math.Log10(step)+1e-9))) }

// alongFoot draws an axis at the foot with a figure for each tick.
func (d *Drawing) alongFoot(s scale, foot float64, ticks []float64, text func(float64) string) {
	d.line("axis", s.from, foot, s.to, foot)
	for _, v := range ticks {
		d.line("axis", s.at(v), foot, s.at(v), foot+4)
		d.text("", s.at(v), foot+18, Middle, text(v))
	}
}

// reach is the lowest and the highest of many values.
type reach struct{ low, high float64 }

func unreached() reach { return reach{math.Inf(1), math.Inf(-1)} }

func (r *reach) grow(values ...float64) {
	for _, v := range values {
		if finite(v) && math.Abs(v) < 1e12 {
			r.low, r.high = min(r.low, v), max(r.high, v)
		}
	}
}
