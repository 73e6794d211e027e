package chart

import (
	"math"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
	"midcase/timing"
)

const (
	positionsTop = 22.0
	positionRowH = 30.0
	watchR       = 9.0  // of the small watch
	watchW       = 32.0 // of its column
	amplitudeW   = 56.0
	half90       = 1.645 // half a 90 % range in standard errors
)

// Positions draws the rate in each position on one scale, with its range of 90 %, the
// watch as it lay, and the amplitude. A reading a day after winding is open.
func Positions(r opinion.Running, f Format, w say.Writer) Drawing {
	d := f.drawing(w.String(say.That("chart.positions")))
	shown := r.Positions[:min(len(r.Positions), 2*f.Rows)]
	left, name := f.Left, evidence.SayPosition
	if left == 0 {
		left, name = 86, func(p string) say.Statement { return say.Verbatim(p) }
	}
	x := rateScale(shown, r.Mean, left, f.Width-amplitudeW)
	foot := positionsTop + positionRowH*float64(len(shown))
	d.text("", x.from, 13, Start, w.String(say.That("chart.rate")))
	d.text("", f.Width-margin, 13, End, w.String(say.That("chart.amplitude")))
	ticks, _ := x.ticks(f.Ticks)
	for _, v := range ticks {
		d.line("hair", x.at(v), positionsTop, x.at(v), foot)
		d.text("", x.at(v), foot+16, Middle, w.Locale.Signed(v, 0))
	}
	d.line("axis", x.at(0), positionsTop, x.at(0), foot)
	if r.Mean != nil && finite(*r.Mean) {
		d.line("mean", x.at(*r.Mean), positionsTop, x.at(*r.Mean), foot)
	}
	for i, p := range shown {
		y := positionsTop + positionRowH*(float64(i)+0.5)
		d.watchAsItLay(watchR+6, y, p.Position)
		d.text("", watchW+4, y+4.5, Start, f.label(w.Capital(name(p.Position))))
		d.reading(p, x, y, w)
		d.Rows = append(d.Rows, Row{i, y})
	}
	d.Height = foot + axisH
	return *d
}

func rateScale(shown []opinion.PositionRate, mean *float64, from, to float64) scale {
	r := reach{}
	for _, p := range shown {
		h := half90 * math.Hypot(p.SE, p.ClockSE)
		r.grow(p.SecPerDay-h, p.SecPerDay+h)
	}
	if mean != nil {
		r.grow(*mean)
	}
	room := max(0.07*(r.high-r.low), 1)
	return scale{r.low - room, r.high + room, from, to}
}

func (d *Drawing) reading(p opinion.PositionRate, x scale, y float64, w say.Writer) {
	if !finite(p.SecPerDay) {
		return
	}
	if h := half90 * math.Hypot(p.SE, p.ClockSE); h > 0 {
		d.line("reach", x.at(p.SecPerDay-h), y, x.at(p.SecPerDay+h), y)
	}
	style := "read"
	if p.HoursSinceWind >= timing.CommonPractice().RunDownFrom {
		style = "read later"
	}
	d.add(Circle{Style: style, At: Point{x.at(p.SecPerDay), y}, R: 4.5})
	amplitude := "–"
	if p.AmplitudeDeg > 0 {
		amplitude = w.String(say.That("chart.figure", say.Fixed("figure", p.AmplitudeDeg, say.Degree, 0)))
	}
	d.text("strong", d.Width-margin, y+4.5, End, amplitude)
}

// watchAsItLay is a small watch: face up with hands, face down with its back, or
// standing with the crown where it points when the named hour is uppermost.
func (d *Drawing) watchAsItLay(x, y float64, position string) {
	const r = watchR
	hour, standing := uppermost(position)
	crown := 90.0 // degrees clockwise from the top
	switch {
	case standing:
		crown = 90 - 30*hour
	case position == "FH":
		crown = -90
	}
	at := func(deg, from float64) Point {
		q := deg * math.Pi / 180
		return Point{x + from*math.Sin(q), y - from*math.Cos(q)}
	}
	d.add(Circle{Style: "crown", At: at(crown, r+1.8), R: 2})
	d.add(Circle{Style: "small-watch", At: Point{x, y}, R: r})
	switch {
	case position == "FH":
		d.add(Circle{Style: "small-watch", At: Point{x, y}, R: 0.7 * r})
	case standing:
		d.add(Line{"small-watch", at(-30*hour, 0.3*r), at(-30*hour, 0.75*r)}) // twelve
		d.line("small-watch", x-r-3, y+r+1.6, x+r+3, y+r+1.6)                 // what it stands on
	default:
		d.add(Line{"small-watch", Point{x, y}, at(-56, 0.7*r)}, Line{"small-watch", Point{x, y}, at(54, 0.7*r)})
	}
}

// uppermost is the hour that stands uppermost: 3 for 3H, 1.5 for 1H30.
func uppermost(position string) (hour float64, ok bool) {
	h, m, ok := strings.Cut(position, "H")
	if !ok {
		return 0, false
	}
	hour, err := strconv.ParseFloat(h, 64)
	if err != nil {
		return 0, false
	}
	if minutes, err := strconv.ParseFloat(m, 64); err == nil {
		hour += minutes / 60
	}
	return hour, true
}
