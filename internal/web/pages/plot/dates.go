package plot

import (
	"context"
	"fmt"
	"slices"

	"midcase/edtf"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
)

// dates is the date chart: months along, the joint curve on top, one row below for
// each item of evidence that pulls.
type dates struct {
	narrow, alone         bool
	width, height         float64
	left, right, foot     float64
	joint                 string
	bandX, bandW, medianX float64
	curveFoot             float64
	years                 []tick
	rows                  []dateRow
	label                 string
}

type dateRow struct {
	textX, textY, base float64
	text, path         string
	disagrees          bool
}

const mostRows = 7 // rows that a reader can still compare

func newDates(ctx context.Context, d opinion.Dating, narrow, alone bool) dates {
	c := dates{narrow: narrow, width: 760, left: 272, label: fmt.Sprintf("Probability of each month from %s to %s",
		d.Interval90[0], d.Interval90[1])}
	curve, row := 84.0, 30.0
	if narrow {
		c.width, c.left, row = 360, 2, 44
	}
	if alone {
		c.left, d.Items = 2, nil
	} else {
		c.label += "; the table below has the figures"
	}
	c.alone, c.right = alone, c.width-2
	items := pulling(d.Items)
	low, high := reach(d, items)
	x := scale{float64(low), float64(high) + 1, c.left, c.right}
	c.curveFoot = curve
	c.joint = c.steps(d.Months, x, curve, curve-8)
	c.bandX = x.at(float64(d.Interval90[0]))
	c.bandW = max(2, x.at(float64(d.Interval90[1])+1)-c.bandX)
	c.medianX = x.at(float64(d.Median) + 0.5)
	y := curve + 8
	for _, it := range items {
		r := dateRow{textX: c.left - 10, textY: y + row - 12, base: y + row - 6,
			text: shorten(wording.Say(ctx, it.Says), 46), disagrees: it.Disagrees}
		if narrow {
			r.textX, r.textY, r.text = c.left, y+14, shorten(wording.Say(ctx, it.Says), 52)
		}
		r.path = c.steps(it.Alone, x, r.base, 20)
		c.rows = append(c.rows, r)
		y += row
	}
	c.foot = y + 2
	c.height = c.foot + 24
	c.years = yearTicks(low, high, x, narrow)
	return c
}

func yearTicks(low, high edtf.Month, x scale, narrow bool) []tick {
	most := 10.0
	if narrow {
		most = 6
	}
	step := max(1, int(Step(float64(high-low)/12/most)))
	var out []tick
	for m := low; m <= high; m++ {
		if m.Calendar() == 1 && m.Year()%step == 0 {
			out = append(out, tick{x.at(float64(m)), fmt.Sprint(m.Year())})
		}
	}
	return out
}

// pulling picks the items that narrow the date most, in the order given; those that
// disagree always stay.
func pulling(all []opinion.DatingItem) []opinion.DatingItem {
	type ranked struct {
		at     int
		months float64
	}
	var order []ranked
	widest := 0.0
	for i, it := range all {
		n := months(it.Alone)
		widest = max(widest, n)
		order = append(order, ranked{i, n})
	}
	slices.SortStableFunc(order, func(a, b ranked) int {
		if all[a.at].Disagrees != all[b.at].Disagrees {
			if all[a.at].Disagrees {
				return -1
			}
			return 1
		}
		switch {
		case a.months < b.months:
			return -1
		case a.months > b.months:
			return 1
		}
		return 0
	})
	var keep []int
	for _, r := range order {
		if len(keep) < mostRows && (all[r.at].Disagrees || r.months < 0.9*widest || len(all) <= 3) {
			keep = append(keep, r.at)
		}
	}
	slices.Sort(keep)
	out := make([]opinion.DatingItem, len(keep))
	for i, at := range keep {
		out[i] = all[at]
	}
	return out
}

// Unplotted is how many items the chart leaves to the table, as they say little.
func Unplotted(d opinion.Dating) int { return len(d.Items) - len(pulling(d.Items)) }

// months is the number of months over which a curve is spread: 1/Σp².
func months(curve []opinion.MonthChance) float64 {
	sum, squares := 0.0, 0.0
	for _, m := range curve {
		sum += m.P
		squares += m.P * m.P
	}
	if squares == 0 {
		return 0
	}
	return sum * sum / squares
}

// reach is the span of months to draw: where the joint curve has weight, a year and
// a half about it, and the highest month of each item, so that a disagreement shows.
func reach(d opinion.Dating, items []opinion.DatingItem) (low, high edtf.Month) {
	low, high = d.Interval90[0]-18, d.Interval90[1]+18
	for _, it := range items {
		best, at := 0.0, edtf.Month(0)
		for _, m := range it.Alone {
			if m.P > best {
				best, at = m.P, m.Month
			}
		}
		if best > 0 && (it.Disagrees || months(it.Alone) < 60) {
			low, high = min(low, at-6), max(high, at+6)
		}
	}
	return low, high
}

// steps is the filled outline of a curve, a step a month, scaled to its own highest.
func (c dates) steps(curve []opinion.MonthChance, x scale, base, height float64) string {
	highest := 0.0
	for _, m := range curve {
		if at := float64(m.Month); at >= x.low && at < x.high {
			highest = max(highest, m.P)
		}
	}
	if highest == 0 {
		return ""
	}
	var p path
	last := 0.0
	for _, m := range curve {
		at := float64(m.Month)
		if at < x.low || at >= x.high {
			continue
		}
		top := base - m.P/highest*height
		if p.Len() == 0 {
			p.move(x.at(at), base)
		}
		p.line(x.at(at), top)
		last = x.at(at + 1)
		p.line(last, top)
	}
	p.line(last, base)
	return p.String() + "Z"
}

func rowAnchor(c dates) string {
	if c.narrow {
		return "start"
	}
	return "end"
}

// named is the drawing with another label, such as one in another language.
func (c dates) named(label string) dates {
	c.label = label
	return c
}
