package watch

import (
	"fmt"
	"strings"

	"midcase/edtf"
	"midcase/opinion"
)

// The date chart: months along, the joint curve on top, one row per item of evidence
// below with its pull.
const (
	chartWidth  = 720
	chartLeft   = 200
	chartRight  = 16
	curveHeight = 90
	rowHeight   = 30
)

// dateChart is what the drawing needs, in user units of the view box.
type dateChart struct {
	Width, Height int
	Curve         string // path of the joint curve
	BandX, BandW  float64
	Years         []tick
	Rows          []chartRow
	Foot          float64
	MedianX       float64
}

type tick struct {
	X    float64
	Text string
}

type chartRow struct {
	Y, Base  float64
	Text     string
	Path     string
	Disagree bool
}

func newDateChart(d opinion.Dating) dateChart {
	lo, hi := reach(d)
	c := dateChart{Width: chartWidth}
	x := func(m float64) float64 {
		return chartLeft + (m-float64(lo))/float64(hi-lo+1)*(chartWidth-chartLeft-chartRight)
	}
	c.Curve = area(d.Months, x, curveHeight, curveHeight-8)
	c.BandX = x(float64(d.Interval90[0]))
	c.BandW = x(float64(d.Interval90[1])+1) - c.BandX
	c.MedianX = x(float64(d.Median) + 0.5)
	y := float64(curveHeight + 12)
	for _, it := range d.Items {
		c.Rows = append(c.Rows, chartRow{Y: y + rowHeight - 10, Base: y + rowHeight - 6, Text: shorten(it.Says, 34), Path: area(it.Alone, x, y+rowHeight-6, rowHeight-8), Disagree: it.Disagrees})
		y += rowHeight
	}
	c.Foot = y + 6
	c.Height = int(c.Foot) + 24
	step := 1
	for years := (hi - lo) / 12; int(years)/step > 9; {
		step *= 2
		if step == 4 {
			step = 5
		}
	}
	for m := lo; m <= hi; m++ {
		if m.Calendar() == 1 && m.Year()%step == 0 {
			c.Years = append(c.Years, tick{x(float64(m)), fmt.Sprint(m.Year())})
		}
	}
	return c
}

// reach is the span of months to draw: where the curve has weight, and a year about.
func reach(d opinion.Dating) (lo, hi edtf.Month) {
	lo, hi = d.Interval90[0]-18, d.Interval90[1]+18
	for _, it := range d.Items {
		// The highest month of an item alone is drawn too, so that a disagreement shows.
		best, at := 0.0, edtf.Month(0)
		for _, m := range it.Alone {
			if m.P > best {
				best, at = m.P, m.Month
			}
		}
		if best > 0 {
			lo, hi = min(lo, at-6), max(hi, at+6)
		}
	}
	return lo, hi
}

// area is the path of a filled curve over months, scaled to its own greatest value.
func area(months []opinion.MonthChance, x func(float64) float64, base, height float64) string {
	greatest := 0.0
	for _, m := range months {
		greatest = max(greatest, m.P)
	}
	if greatest == 0 {
		return ""
	}
	var b strings.Builder
	right := float64(chartWidth - chartRight)
	started := false
	last := 0.0
	for _, m := range months {
		at := x(float64(m.Month) + 0.5)
		if at < chartLeft || at > right {
			continue
		}
		if !started {
			fmt.Fprintf(&b, "M%.1f %.1f", at, base)
			started = true
		}
		fmt.Fprintf(&b, "L%.1f %.1f", at, base-m.P/greatest*height)
		last = at
	}
	if !started {
		return ""
	}
	fmt.Fprintf(&b, "L%.1f %.1fZ", last, base)
	return b.String()
}

func shorten(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return strings.TrimSpace(string(r[:n-1])) + "…"
}

// priceChart shows the comparables at their adjusted prices with the value's range
// behind.
type priceChart struct {
	Width, Height            int
	Band80X, Band80W         float64
	Band50X, Band50W         float64
	MedianX                  float64
	Dots                     []tick
	Ticks                    []tick
	DotY, Foot, BandY, BandH float64
}

func newPriceChart(v opinion.Value) priceChart {
	c := priceChart{Width: chartWidth, Height: 86, DotY: 30, BandY: 10, BandH: 40, Foot: 56}
	lo, hi := v.Interval["90"][0], v.Interval["90"][1]
	for _, k := range v.Comparables {
		lo, hi = min(lo, k.Adjusted), max(hi, k.Adjusted)
	}
	pad := (hi - lo) * 0.04
	lo, hi = max(0, lo-pad), hi+pad
	x := func(p float64) float64 { return 16 + (p-lo)/(hi-lo)*(chartWidth-32) }
	c.Band80X, c.Band80W = x(v.Interval["80"][0]), x(v.Interval["80"][1])-x(v.Interval["80"][0])
	c.Band50X, c.Band50W = x(v.Interval["50"][0]), x(v.Interval["50"][1])-x(v.Interval["50"][0])
	c.MedianX = x(*v.Median)
	for _, k := range v.Comparables {
		c.Dots = append(c.Dots, tick{x(k.Adjusted), k.Date})
	}
	step := niceStep((hi - lo) / 6)
	for p := step * float64(int(lo/step)+1); p < hi; p += step {
		c.Ticks = append(c.Ticks, tick{x(p), fmt.Sprintf("%.0f", p)})
	}
	return c
}

// niceStep is the next larger of 1, 2, 5 times a power of ten.
func niceStep(v float64) float64 {
	p := 1.0
	for p*10 <= v {
		p *= 10
	}
	for _, k := range []float64{1, 2, 5, 10} {
		if k*p >= v {
			return k * p
		}
	}
	return 10 * p
}
