package chart

import (
	"midcase/say"
	"midcase/timing"
)

const (
	beatsTop = 22.0
	beatsH   = 240.0
)

// Beats draws one beat after another: time along, lateness against the nominal beat
// across. Even beats are full squares, odd ones open circles, so that two lines apart
// are a beat error; a beat that was left out is a cross.
func Beats(a timing.Analysis, f Format, w say.Writer) Drawing {
	d := f.drawing(w.String(say.That("chart.beats")))
	most, r, high := 600, 2.6, beatsH
	if f.Left == 0 {
		most, r, high = 240, 2.2, beatsH-50
	}
	beats := Thinned(a.Trace, most)
	foot := beatsTop + high
	x := scale{0, max(a.Seconds, 1), 48, f.Width - 8}
	late := lateness(beats)
	y := scale{late.low, late.high, foot, beatsTop}
	d.text("", 0, 13, Start, w.String(say.That("chart.late")))
	ticks, step := y.ticks(5)
	for _, v := range ticks {
		d.line("hair", x.from, y.at(v), x.to, y.at(v))
		d.text("", x.from-6, y.at(v)+4.5, End, w.Locale.Signed(v, decimals(step)))
	}
	along, _ := x.ticks(f.Ticks)
	d.alongFoot(x, foot, along, func(v float64) string {
		return w.String(say.That("chart.figure", say.Fixed("figure", v, say.Seconds, 0)))
	})
	out, even, odd := Dots{"beat out", Cross, r, nil}, Dots{"beat even", Square, r, nil}, Dots{"beat odd", Round, r,
		nil}
	for _, b := range beats {
		if !finite(b.AtS) || !finite(b.LateMS) {
			continue
		}
		group := &even
		switch {
		case !b.Used:
			group = &out
		case b.Odd:
			group = &odd
		}
		group.At = append(group.At, Point{x.at(b.AtS), y.at(b.LateMS)})
	}
	d.add(out, even, odd)
	d.Height = foot + axisH
	return *d
}

// lateness is from the earliest to the latest beat that was used, in ms, with a little
// room; never less than 2 ms, so that a good watch does not look wild.
func lateness(beats []timing.Trace) reach {
	r := unreached()
	for _, b := range beats {
		if b.Used {
			r.grow(b.LateMS)
		}
	}
	if r.low > r.high {
		r = reach{}
	}
	room := max((r.high-r.low)*0.07, (2-(r.high-r.low))/2)
	return reach{r.low - room, r.high + room}
}

// Thinned keeps at most n beats, as pairs evenly spread, so that odd and even ones stay
// together.
func Thinned(all []timing.Trace, n int) []timing.Trace {
	if len(all) <= n {
		return all
	}
	out := make([]timing.Trace, 0, n)
	for i := range n / 2 {
		p := i * (len(all)/2 - 1) / max(n/2-1, 1)
		out = append(out, all[2*p], all[2*p+1])
	}
	return out
}
