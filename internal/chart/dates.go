package chart

import (
	"cmp"
	"fmt"
	"slices"

	"midcase/edtf"
	"midcase/opinion"
	"midcase/say"
)

const (
	jointTop  = 22.0 // above the joint curve
	jointFoot = 100.0
	dateRowH  = 30.0
	curveH    = 20.0 // of one item
)

// Dates draws when a watch was made: months along, the curve of all evidence together
// on top, one row below for each item of evidence that pulls. A band holds 90 %.
func Dates(dating opinion.Dating, f Format, w say.Writer) Drawing {
	d := f.drawing(w.String(say.That("chart.dates", say.Span("range", dating.Interval90[0], dating.Interval90[1]))))
	shown := pulling(dating.Items, f.Rows)
	low, high := months(dating, shown)
	x := scale{float64(low), float64(high) + 1, max(f.Left, margin), f.Width - margin}
	rowH := dateRowH
	if f.Left == 0 {
		rowH += 14
	}
	foot := jointFoot + 10 + rowH*float64(len(shown))
	if dating.Known {
		d.dateBand(dating, x, foot, w)
	}
	d.curve("curve", dating.Months, x, jointFoot, jointFoot-jointTop)
	if f.Left > 0 {
		d.rowLabel("strong", w.String(say.That("chart.all-evidence")), jointTop, jointFoot-jointTop)
	}
	for i, at := range shown {
		d.dateRow(dating.Items[at], x, jointFoot+8+rowH*float64(i), rowH, w)
		d.Rows = append(d.Rows, Row{at, jointFoot + 8 + rowH*(float64(i)+0.5)})
	}
	if dating.Known {
		middle := x.at(float64(dating.Median) + 0.5)
		d.line("median", middle, jointTop, middle, foot)
	}
	d.alongFoot(x, foot, years(low, high, f), func(m float64) string { return fmt.Sprint(edtf.Month(m).Year()) })
	d.Height = foot + axisH
	return *d
}

// dateBand draws the range of 90 % and writes it above.
func (d *Drawing) dateBand(dating opinion.Dating, x scale, foot float64, w say.Writer) {
	first, last := dating.Interval90[0], dating.Interval90[1]
	from, to := x.at(float64(first)), x.at(float64(last)+1)
	d.add(Rect{"band", Point{from, jointTop}, max(2, to-from), foot - jointTop})
	d.between(w.String(say.That("chart.range", say.Share("share", 0.9),
		say.Saying("range", say.That("chart.months", say.Span("months", first, last))))), from, to)
}

// between writes a text over the middle of a range, within the drawing.
func (d *Drawing) between(text string, from, to float64) {
	half := d.Format.letter * float64(len([]rune(text))) / 2
	middle := max(half+margin, min(d.Width-half-margin, (from+to)/2))
	d.text("", middle, 14, Middle, text)
}

func (d *Drawing) dateRow(it opinion.DatingItem, x scale, top, height float64, w say.Writer) {
	style, label := "pull", ""
	if it.Disagrees {
		style, label = "pull against", "strong"
	}
	base := top + height - 4
	d.curve(style, it.Alone, x, base, curveH)
	d.line("hair", x.from, base, x.to, base)
	d.rowLabel(label, w.String(it.Says), top, height-4)
}

// curve is the filled outline of a curve, a step a month, scaled to its own highest.
func (d *Drawing) curve(style string, curve []opinion.MonthChance, x scale, base, height float64) {
	highest := 0.0
	within := func(m opinion.MonthChance) bool {
		return float64(m.Month) >= x.low && float64(m.Month) < x.high && finite(m.P)
	}
	for _, m := range curve {
		if within(m) {
			highest = max(highest, m.P)
		}
	}
	if highest == 0 {
		return
	}
	var points []Point
	for _, m := range curve {
		if !within(m) {
			continue
		}
		at, top := float64(m.Month), base-max(0, m.P)/highest*height
		if len(points) == 0 {
			points = append(points, Point{x.at(at), base})
		}
		points = append(points, Point{x.at(at), top}, Point{x.at(at + 1), top})
	}
	points = append(points, Point{points[len(points)-1].X, base})
	d.add(Outline{style, []Shape{{Points: points, Closed: true}}})
}

// years are the starts of years to label, thinned so that labels do not touch.
func years(low, high edtf.Month, f Format) []float64 {
	step := max(1, int(Step(float64(high-low)/12/(1.5*f.Ticks))))
	var out []float64
	for m := low; m <= high; m++ {
		if m.Calendar() == 1 && m.Year()%step == 0 {
			out = append(out, float64(m))
		}
	}
	return out
}

// pulling picks the items that narrow the date most, by their place in the list and in
// its order; those that disagree always stay.
func pulling(all []opinion.DatingItem, most int) []int {
	type ranked struct {
		at, disagrees int
		months        float64
	}
	var order []ranked
	widest := 0.0
	for i, it := range all {
		r := ranked{at: i, months: spread(it.Alone)}
		if !it.Disagrees {
			r.disagrees = 1
		}
		widest = max(widest, r.months)
		order = append(order, r)
	}
	slices.SortStableFunc(order, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(a.disagrees, b.disagrees), cmp.Compare(a.months, b.months))
	})
	var keep []int
	for _, r := range order {
		if len(keep) < most && (all[r.at].Disagrees || r.months < 0.9*widest || len(all) <= 3) {
			keep = append(keep, r.at)
		}
	}
	slices.Sort(keep)
	return keep
}

// Unplotted is how many items a drawing of the dates leaves to the table below it, as
// they say little.
func Unplotted(d opinion.Dating, f Format) int { return len(d.Items) - len(pulling(d.Items, f.Rows)) }

// spread is the number of months over which a curve is spread: 1/Σp².
func spread(curve []opinion.MonthChance) float64 {
	sum, squares := 0.0, 0.0
	for _, m := range curve {
		if finite(m.P) {
			sum += m.P
			squares += m.P * m.P
		}
	}
	if squares == 0 {
		return 0
	}
	return sum * sum / squares
}

const (
	longestAxis = 12 * 120 // months
	about       = 36
)

// months is the span to draw: where the joint curve has weight, three years about it, and
// the highest month of each item, so that a disagreement shows.
func months(d opinion.Dating, shown []int) (low, high edtf.Month) {
	low, high = d.Interval90[0]-about, d.Interval90[1]+about
	for i, at := range append([]int{-1}, shown...) {
		curve, grows := d.Months, !d.Known
		if i > 0 {
			it := d.Items[at]
			curve, grows = it.Alone, it.Disagrees || spread(it.Alone) < 60
		}
		best, peak := 0.0, edtf.Month(0)
		for _, m := range curve {
			if m.P > best {
				best, peak = m.P, m.Month
			}
		}
		switch {
		case best == 0 || !grows:
		case low < 0:
			low, high = peak-about, peak+about
		default:
			low, high = min(low, peak-6), max(high, peak+6)
		}
	}
	return max(low, 1), max(low, 1) + min(max(high-max(low, 1), 11), longestAxis)
}
