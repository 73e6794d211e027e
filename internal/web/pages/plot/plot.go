// Package plot draws the charts of the pages as SVG: the date curve, the price with
// its comparables, curves by quarter, and a line drawing of a watch whose parts can
// be touched.
//
// What goes in: opinions and series. What comes out: templ components. Each chart is
// drawn twice, wide and narrow, so that its words keep their size on a phone; the
// style sheet shows one of the two. Ranges are bands, single facts are dots or
// ticks. The figures stand in a table under each chart, which the pages write.
package plot

import (
	"fmt"
	"math"
	"strings"
)

// tick is a labelled place on an axis.
type tick struct {
	At   float64
	Text string
}

// scale maps values from low–high to places from–to.
type scale struct{ low, high, from, to float64 }

func (s scale) at(v float64) float64 {
	return s.from + (v-s.low)/(s.high-s.low)*(s.to-s.from)
}

// Step is the smallest of 1, 2 or 5 times a power of ten that is not below v.
func Step(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 2, 5} {
		if k*p >= v {
			return k * p
		}
	}
	return 10 * p
}

// ticks are the multiples of a round step within the scale, about n of them.
func (s scale) ticks(n float64, text func(float64) string) []tick {
	step := Step((s.high - s.low) / n)
	var out []tick
	// Zero is added since a negative fraction is rounded up to a negative zero.
	for k := math.Ceil(s.low/step) + 0; k*step <= s.high; k++ {
		out = append(out, tick{s.at(k * step), text(k * step)})
	}
	return out
}

// path writes the commands of an SVG path.
type path struct{ strings.Builder }

func (p *path) move(x, y float64) { fmt.Fprintf(p, "M%.1f %.1f", x, y) }
func (p *path) line(x, y float64) { fmt.Fprintf(p, "L%.1f %.1f", x, y) }
func (p *path) to(x, y float64) {
	if p.Len() == 0 {
		p.move(x, y)
		return
	}
	p.line(x, y)
}

// shorten keeps a label within so many characters.
func shorten(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return strings.TrimRight(string(r[:n-1]), " ,:;") + "…"
}

func f1(v float64) string { return fmt.Sprintf("%.1f", v) }

func viewBox(w, h float64) string { return fmt.Sprintf("0 0 %.0f %.0f", w, h) }

// size names the two drawings of a chart for the style sheet.
func size(narrow bool) string {
	if narrow {
		return "chart narrow"
	}
	return "chart broad"
}
