package ear

import (
	"context"
	"fmt"
	"math"
	"strings"

	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/wording"
	"midcase/timing"
)

// trace is the drawing of one recording.
type trace struct {
	narrow                         bool
	width, height                  float64
	left, right, top, foot         float64
	label                          string
	x, y                           []mark
	squares, circles, crosses      string
	low, high, seconds, markRadius float64
}

// mark is a labelled place on an axis.
type mark struct {
	at   float64
	text string
}

// traceBeats is how many beats are drawn at most: pairs evenly spread.
const traceBeats = 600

func newTrace(ctx context.Context, a timing.Analysis, narrow bool) trace {
	t := trace{narrow: narrow, width: 760, height: 300, left: 44, top: 24, markRadius: 2.6,
		seconds: math.Max(a.Seconds, 1),
		label:   "Lateness of each beat against the nominal beat over the recording; the table above has the figures"}
	most := traceBeats
	if narrow {
		t.width, t.height, t.markRadius, most = 360, 240, 2.2, 240
	}
	t.right, t.foot = t.width-8, t.height-26
	t.span(a.Trace)
	t.axes(ctx)
	var squares, circles, crosses strings.Builder
	for _, b := range spread(a.Trace, most) {
		x := t.left + (t.right-t.left)*b.AtS/t.seconds
		y := t.at(math.Max(t.low, math.Min(t.high, b.LateMS)))
		r := t.markRadius
		switch {
		case !b.Used:
			fmt.Fprintf(&crosses, "M%.1f %.1fl%.1f %.1fm0 %.1fl%.1f %.1f", x-r, y-r, 2*r, 2*r, -2*r, -2*r, 2*r)
		case b.Odd:
			fmt.Fprintf(&circles, "M%.1f %.1fa%.1f %.1f 0 1 0 %.1f 0a%.1f %.1f 0 1 0 %.1f 0", x-r, y, r, r, 2*r, r, r,
				-2*r)
		default:
			fmt.Fprintf(&squares, "M%.1f %.1fh%.1fv%.1fh%.1fz", x-r, y-r, 2*r, 2*r, -2*r)
		}
	}
	t.squares, t.circles, t.crosses = squares.String(), circles.String(), crosses.String()
	return t
}

// span is from the earliest to the latest beat that was used, never less than 2 ms.
func (t *trace) span(beats []timing.Trace) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, b := range beats {
		if b.Used {
			lo, hi = math.Min(lo, b.LateMS), math.Max(hi, b.LateMS)
		}
	}
	if lo > hi {
		lo, hi = 0, 0
	}
	room := math.Max((hi-lo)*0.06, (2-(hi-lo))/2)
	t.low, t.high = lo-room, hi+room
}

func (t *trace) at(late float64) float64 {
	return t.foot - (t.foot-t.top)*(late-t.low)/(t.high-t.low)
}

func (t *trace) axes(ctx context.Context) {
	step := plot.Step((t.high - t.low) / 5)
	places := 0
	if step < 1 {
		places = 1
	}
	for k := math.Ceil(t.low / step); k*step <= t.high; k++ {
		text := "0"
		if k != 0 {
			text = wording.SignedValue(ctx, k*step, places)
		}
		t.y = append(t.y, mark{t.at(k * step), text})
	}
	n := 8.0
	if t.narrow {
		n = 4
	}
	step = plot.Step(t.seconds / n)
	for k := 0.0; k*step <= t.seconds; k++ {
		t.x = append(t.x, mark{t.left + (t.right-t.left)*k*step/t.seconds, fmt.Sprintf("%.0f s", k*step)})
	}
}

func spread(all []timing.Trace, n int) []timing.Trace {
	if len(all) <= n {
		return all
	}
	out := make([]timing.Trace, 0, n)
	for i := range n / 2 {
		p := i * (len(all)/2 - 1) / (n/2 - 1)
		out = append(out, all[2*p], all[2*p+1])
	}
	return out
}

func (t trace) class() string {
	if t.narrow {
		return "chart narrow trace"
	}
	return "chart broad trace"
}

func (t trace) viewBox() string { return fmt.Sprintf("0 0 %.0f %.0f", t.width, t.height) }

func f1(v float64) string { return fmt.Sprintf("%.1f", v) }
