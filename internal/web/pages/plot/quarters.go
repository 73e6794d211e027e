package plot

import (
	"math"
	"strconv"
	"strings"
)

// Series is one curve by quarter with its band.
type Series struct {
	Name   string
	Unit   string
	Points []Point
}

// Point is one quarter, such as 2015-Q1.
type Point struct {
	Quarter          string
	Value, Low, High float64
}

// quarters is the chart of a series.
type quarters struct {
	narrow                 bool
	width, height          float64
	left, right, top, foot float64
	band, line             string
	x, y                   []tick
	lastX, lastY           float64
	last, label, unit      string
	low, high              float64 // at the foot and at the top
}

func newQuarters(s Series, narrow bool) quarters {
	c := quarters{narrow: narrow, width: 760, height: 270, left: 44, top: 26,
		label: s.Name + " by quarter with its 90 % range", unit: s.Unit}
	if narrow {
		c.width, c.height = 360, 230
	}
	c.right, c.foot = c.width-44, c.height-26
	if len(s.Points) == 0 {
		return c
	}
	c.low, c.high = bounds(s.Points)
	x := scale{0, math.Max(1, float64(len(s.Points)-1)), c.left, c.right}
	y := scale{c.low, c.high, c.foot, c.top}
	var line, band path
	for i, p := range s.Points {
		line.to(x.at(float64(i)), y.at(p.Value))
		band.to(x.at(float64(i)), y.at(p.High))
	}
	for i := len(s.Points) - 1; i >= 0; i-- {
		band.line(x.at(float64(i)), y.at(s.Points[i].Low))
	}
	c.line, c.band = line.String(), band.String()+"Z"
	c.y = y.ticks(5, func(v float64) string {
		return strings.Replace(strconv.FormatFloat(v, 'f', -1, 64), "-", "−",
			1)
	})
	c.x = yearsOf(s.Points, x, narrow)
	end := s.Points[len(s.Points)-1]
	c.lastX, c.lastY, c.last = c.right, y.at(end.Value), strings.Replace(strconv.FormatFloat(end.Value, 'f', 0, 64),
		"-", "−", 1)
	return c
}

// bounds are the lowest and the highest value of the band, never the same.
func bounds(points []Point) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		low, high = math.Min(low, p.Low), math.Max(high, p.High)
	}
	if high == low {
		high = low + 1
	}
	return low, high
}

// exact writes a number for a script to read, the shortest that reads back the same.
func exact(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// yearsOf marks the first quarter of every year, thinned so that labels do not touch.
func yearsOf(points []Point, x scale, narrow bool) []tick {
	most := 10.0
	if narrow {
		most = 5
	}
	every := max(1, int(Step(float64(len(points))/4/most)))
	var out []tick
	for i, p := range points {
		year, quarter, ok := strings.Cut(p.Quarter, "-Q")
		n, err := strconv.Atoi(year)
		if !ok || err != nil || quarter != "1" || n%every != 0 {
			continue
		}
		out = append(out, tick{x.at(float64(i)), year})
	}
	return out
}

// named is the drawing with another label.
func (c quarters) named(label string) quarters {
	c.label = label
	return c
}
