package market

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

const (
	width, height          = 720, 260
	left, right, top, foot = 56, 12, 24, 28
)

type tick struct {
	At   float64
	Text string
}

type chart struct {
	Band, Line  string
	X, Y        []tick
	Label, Unit string
}

func newChart(s Series) chart {
	c := chart{Label: s.Name + " by quarter with its 90 % range; the table below has the figures", Unit: s.Unit}
	if len(s.Points) == 0 {
		return c
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range s.Points {
		lo, hi = math.Min(lo, p.Low), math.Max(hi, p.High)
	}
	if hi == lo {
		hi = lo + 1
	}
	x := func(i int) float64 {
		return left + float64(i)/math.Max(1, float64(len(s.Points)-1))*(width-left-right)
	}
	y := func(v float64) float64 { return height - foot - (v-lo)/(hi-lo)*(height-foot-top) }
	var line, upper, lower strings.Builder
	for i, p := range s.Points {
		mark := "L"
		if i == 0 {
			mark = "M"
		}
		fmt.Fprintf(&line, "%s%.1f %.1f", mark, x(i), y(p.Value))
		fmt.Fprintf(&upper, "%s%.1f %.1f", mark, x(i), y(p.High))
	}
	for i := len(s.Points) - 1; i >= 0; i-- {
		fmt.Fprintf(&lower, "L%.1f %.1f", x(i), y(s.Points[i].Low))
	}
	c.Line, c.Band = line.String(), upper.String()+lower.String()+"Z"
	step := niceStep((hi - lo) / 5)
	for v := math.Ceil(lo/step) * step; v <= hi; v += step {
		c.Y = append(c.Y, tick{y(v), strconv.FormatFloat(v, 'f', -1, 64)})
	}
	c.X = years(s.Points, x)
	return c
}

// years marks the first quarter of every year, thinned so that labels do not touch.
func years(points []Point, x func(int) float64) []tick {
	every := 1 + len(points)/4/12
	var out []tick
	for i, p := range points {
		year, quarter, ok := strings.Cut(p.Quarter, "-Q")
		n, err := strconv.Atoi(year)
		if !ok || err != nil || quarter != "1" || n%every != 0 {
			continue
		}
		out = append(out, tick{x(i), year})
	}
	return out
}

// niceStep is the next larger of 1, 2, 5 times a power of ten.
func niceStep(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 2, 5} {
		if k*p >= v {
			return k * p
		}
	}
	return 10 * p
}

func f1(v float64) string { return fmt.Sprintf("%.1f", v) }
