package deal

import (
	"context"
	"fmt"
	"math"
	"strings"

	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/wording"
)

// over is a chart of something over the price asked: a line with its band, and the asks that
// matter as dots.
type over struct {
	narrow                 bool
	label                  string
	unit                   string
	width, height          float64
	left, right, top, foot float64
	band, line             string
	x, y                   []mark
	dots                   []dot
	zero                   float64 // place of zero, below zero for none
}

type mark struct {
	at   float64
	text string
}

type dot struct {
	x, y   float64
	textY  float64
	text   string
	anchor string
}

type point struct{ x, y, low, high float64 }

// newOver draws points; named are asks to mark with a word. most cuts the band off, so that a few far
// ends do not press the line flat; 0 does not.
func newOver(ctx context.Context, label, unit string, points []point, named map[int]string, most float64,
	narrow bool) over {
	c := over{narrow: narrow, label: label, unit: unit, width: 620, height: 260, left: 58, top: 30, zero: -1}
	if narrow {
		c.width, c.height = 360, 230
	}
	c.right, c.foot = c.width-16, c.height-28
	if len(points) == 0 {
		return c
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i := range points {
		if most > 0 {
			points[i].high = math.Min(points[i].high, most)
		}
		low, high = math.Min(low, points[i].low), math.Max(high, points[i].high)
	}
	if high <= low {
		high = low + 1
	}
	first, last := points[0].x, points[len(points)-1].x
	x := func(v float64) float64 { return c.left + (v-first)/(last-first)*(c.right-c.left) }
	y := func(v float64) float64 { return c.foot - (v-low)/(high-low)*(c.foot-c.top) }
	var line, upper, lower strings.Builder
	for i, p := range points {
		command := "L"
		if i == 0 {
			command = "M"
		}
		fmt.Fprintf(&line, "%s%.1f %.1f", command, x(p.x), y(p.y))
		fmt.Fprintf(&upper, "%s%.1f %.1f", command, x(p.x), y(p.high))
		q := points[len(points)-1-i]
		fmt.Fprintf(&lower, "L%.1f %.1f", x(q.x), y(q.low))
	}
	c.line, c.band = line.String(), upper.String()+lower.String()+"Z"
	ticks := func(low, high, n float64, place func(float64) float64) []mark {
		var out []mark
		step := plot.Step((high - low) / n)
		for k := math.Ceil(low / step); k*step <= high; k++ {
			out = append(out, mark{place(k * step), wording.Count(ctx, int(math.Round(k*step)))})
		}
		return out
	}
	c.y = ticks(low, high, 5, y)
	c.x = ticks(first, last, map[bool]float64{false: 6, true: 4}[narrow], x)
	if low < 0 && high > 0 {
		c.zero = y(0)
	}
	for i, text := range named {
		d := dot{x(points[i].x), y(points[i].y), y(points[i].y) - 10, text, "start"}
		if text != "best" {
			d.textY = d.y + 20 // so that two that are near each other can be read
		}
		if d.x > (c.left+c.right)/2 {
			d.anchor = "end"
		}
		c.dots = append(c.dots, d)
	}
	return c
}

func f1(v float64) string { return fmt.Sprintf("%.1f", v) }

func size(narrow bool) string {
	if narrow {
		return "chart narrow"
	}
	return "chart broad"
}
