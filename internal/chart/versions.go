package chart

import (
	"fmt"
	"math"

	"midcase/edtf"
	"midcase/examples"
	"midcase/say"
)

const (
	versionsTop = 22.0
	versionRowH = 46.0
	dotR        = 3.6
	dotLanes    = 3 // rows of dots within the row of a version
)

// Versions draws the examples of a slot on the line of time, a row for each version: a dot for each example, hollow
// where its part sits badly with the others, the window of the book as a bar, and the range of each learned change as
// a band over all rows.
func Versions(s examples.Slot, f Format, w say.Writer) Drawing {
	d := f.drawing(w.String(say.That("chart.versions", say.Term("slot", "slot", string(s.Slot), ""),
		say.Count("n", len(s.Dots)))))
	low, high, ok := versionMonths(s)
	if !ok {
		return *d
	}
	x := scale{float64(low), float64(high) + 1, max(f.Left, margin), f.Width - margin}
	rows := rowsOf(s)
	foot := versionsTop + versionRowH*float64(len(rows))
	for _, t := range s.Transitions {
		if t.CannotTell != "" {
			continue
		}
		from, to := x.at(float64(t.Interval90[0])), x.at(float64(t.Interval90[1])+1)
		d.add(Rect{"band", Point{from, versionsTop}, max(2, to-from), foot - versionsTop})
		d.line("median", x.at(float64(t.Month)), versionsTop, x.at(float64(t.Month)), foot)
	}
	for i, v := range rows {
		top := versionsTop + versionRowH*float64(i)
		d.versionRow(v, s, x, top)
		d.Rows = append(d.Rows, Row{i, top + versionRowH/2})
	}
	d.alongFoot(x, foot, years(low, high, f), func(m float64) string { return fmt.Sprint(edtf.Month(m).Year()) })
	d.Height = foot + axisH
	return *d
}

// rowsOf are the versions in their order; where nothing could be learned, those that were seen.
func rowsOf(s examples.Slot) []examples.Version {
	out, there := append([]examples.Version{}, s.Versions...), map[string]bool{}
	for _, v := range out {
		there[v.ID] = true
	}
	for _, e := range s.Dots {
		if !there[e.Variant] {
			there[e.Variant] = true
			out = append(out, examples.Version{ID: e.Variant})
		}
	}
	return out
}

func versionMonths(s examples.Slot) (low, high edtf.Month, ok bool) {
	low, high = math.MaxInt32, math.MinInt32
	note := func(m edtf.Month, known bool) {
		if known {
			low, high, ok = min(low, m), max(high, m), true
		}
	}
	for _, e := range s.Dots {
		note(e.Month, true)
	}
	for _, v := range s.Versions {
		note(v.Book.FirstMonth())
		note(v.Book.LastMonth())
	}
	for _, t := range s.Transitions {
		if t.CannotTell == "" {
			note(t.Interval90[0], true)
			note(t.Interval90[1], true)
		}
	}
	return low - 3, high + 3, ok
}

func (d *Drawing) versionRow(v examples.Version, s examples.Slot, x scale, top float64) {
	middle := top + versionRowH/2 - 5
	d.rowLabel("", v.ID, top, versionRowH-10)
	if d.Format.Left == 0 {
		middle += 8
	}
	first, from := v.Book.FirstMonth()
	last, until := v.Book.LastMonth()
	if from && until {
		left, right := x.at(float64(first)), x.at(float64(last)+1)
		d.add(Rect{"book", Point{left, middle + 3.2*dotR}, max(2, right-left), 3})
	}
	d.line("hair", x.from, top+versionRowH, x.to, top+versionRowH)
	lane := 0
	for _, e := range s.Dots {
		if e.Variant != v.ID {
			continue
		}
		style, title := "dot", fmt.Sprintf("%s, %s", e.Example, e.Month)
		if e.P > 0 {
			style = "odd"
		}
		at := Point{x.at(float64(e.Month) + 0.5), middle + dotR*1.6*float64(lane-1)}
		d.add(Circle{Style: style, At: at, R: dotR, Title: title})
		lane = (lane + 1) % dotLanes
	}
}
