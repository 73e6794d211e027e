package main

import (
	"fmt"
	"image"
	"math"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

// anyWatch is a watch of any kind, dial, metal, band and time.
func (d dealer) anyWatch() draw.Watch {
	pick := func(v ...string) string { return v[d.IntN(len(v))] }
	w := draw.Watch{Kind: pick("diver", "time_only", "chronograph", "dress", "time_only", "moon_age"),
		MidCaseMM: d.between(33, 41), LugWidthMM: d.between(17, 21), Scratches: 0.3 * d.Float64(), Polish: d.Float64(),
		Metal: pick("steel", "steel", "gold18", "rose"), Seed: d.Uint64(),
		DialColour: pick("", "", "black", "silver", "cream", "blue", "white", "green")}
	switch w.Kind {
	case "diver":
		w.BezelMM = w.MidCaseMM - 1
	case "time_only":
		w.PlotStyle = pick("", "bar", "square")
	case "chronograph":
		w.Registers = []int{0, 2, 3}[d.IntN(3)]
	}
	w.Band.Kind = pick("strap", "strap", "riveted", "folded", "solid", "none")
	base := draw.Lab{d.between(62, 84), d.between(0, 8), d.between(12, 32)}
	for i := range w.Plots {
		w.Plots[i] = draw.Plot{Lab: base, Marker: i%3 != 0, Texture: d.between(0.6, 1.6)}
	}
	w.Hands.Hour = d.between(0.1, 12)
	return w
}

// found counts what was found rightly.
type found struct {
	n, square, dial, twelve, plots, withPlots, shown, mid, same int

	lengths map[string]*lengthsFound
	hands   struct{ proposed, right int }
	verbose bool
}

// lengthsFound are the lengths of a name that were proposed, how many of them are right, and of how many the true
// length lies in the range of 90 %.
type lengthsFound struct{ proposed, right, held int }

// finds counts how often everything is found without picks.
func finds(n int, seed uint64, verbose bool) {
	fmt.Printf("\n| pictures | n | square | dial | twelve | all plots | mid-case proposed | as with picks to 0.1 mm | " +
		"lug width to 0.3 mm, range holds | lug to lug to 0.4 mm | both hands |\n" +
		"| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n")
	for _, c := range []struct {
		name   string
		relief float64
		tilt   float64
	}{{"on the square, flat, tilt 0–18°", 0, 18}, {"on the square, raised, tilt 0–6°", 1, 6},
		{"on the square, raised, tilt 6–18°", 1, 18}, {"dial close up, tilt 0–14°", -1, 14}} {
		f := found{lengths: map[string]*lengthsFound{"lug width": {}, "lug to lug": {}}, verbose: verbose}
		for i := range n {
			d := newDealer(seed + uint64(i) + 900)
			w, s := d.anyWatch(), d.shot(1600, 1200, d.between(0, c.tilt))
			s.Background = []string{"", "linen", "walnut", "paper"}[d.IntN(4)]
			s.RollDeg, s.Relief = d.between(-12, 12), max(c.relief, 0)
			if c.tilt == 18 && c.relief == 1 {
				s.TiltDeg = d.between(6, 18)
			}
			if c.relief < 0 {
				s.TargetMM, s.HeightPx, s.Relief = 0, 1600, 1
			}
			was := f
			f.one(w, s)
			if verbose && (f.square == was.square || f.dial == was.dial || f.twelve == was.twelve) {
				fmt.Println(seed+uint64(i), w.Kind, w.DialColour, s.Background, s.TiltDeg, s.RollDeg)
			}
		}
		fmt.Printf("| %s | %d | %d | %d | %d | %d of %d | %d of %d | %d |", c.name, f.n, f.square, f.dial, f.twelve, f.plots,
			f.withPlots, f.mid, f.shown, f.same)
		for _, name := range []string{"lug width", "lug to lug"} {
			l := f.lengths[name]
			fmt.Printf(" %d of %d, %d |", l.right, l.proposed, l.held)
		}
		fmt.Printf(" %d of %d |\n", f.hands.right, f.hands.proposed)
	}
}

func (f *found) one(w draw.Watch, s draw.Shot) {
	img, tr := front(w, s), draw.TruthOf(w, s)
	if s.TargetMM == 0 {
		img, tr = dial(w, s), draw.TruthOfDial(w, s)
	}
	got, err := photo.Find(img, photo.Ask{})
	if err != nil {
		panic(err)
	}
	f.n++
	f.square += count(squareRight(got, tr))
	if got.Dial != nil {
		// the visible edge of a dark dial in a dark bezel is a little wider than the dial
		far := 0.0
		for _, p := range got.Dial.Through {
			far = max(far, math.Hypot(p[0]-tr.Dial.X, p[1]-tr.Dial.Y))
		}
		f.dial += count(math.Abs(far/tr.Dial.A-1) < 0.1)
	}
	if got.Twelve != nil {
		f.twelve += count(math.Hypot(got.Twelve.At[0]-tr.Twelve[0], got.Twelve.At[1]-tr.Twelve[1]) < 0.15*tr.Dial.A)
	}
	if len(tr.Plots) > 0 {
		f.withPlots++
		f.plots += count(plotsRight(got, tr))
	}
	f.tips(got, tr)
	if s.TargetMM > 0 {
		f.shown++
		f.measured(img, got, tr)
		f.long(img, got, tr)
	}
}

// tips holds the hands' tips against the truth: both within a tenth of the dial's radius.
func (f *found) tips(got photo.Found, tr draw.Truth) {
	if len(got.Hands) == 0 {
		return
	}
	f.hands.proposed++
	right := true
	for _, h := range got.Hands {
		t := tr.Hands[h.Name][1]
		right = right && math.Hypot(h.Tip[0]-t[0], h.Tip[1]-t[1]) < 0.1*tr.Dial.A
	}
	f.hands.right += count(right)
	if f.verbose {
		for _, h := range got.Hands {
			t, c := tr.Hands[h.Name][1], tr.Hands[h.Name][0]
			ang := func(x, y float64) float64 { return math.Atan2(x-c[0], -(y-c[1])) * 180 / math.Pi }
			fmt.Printf("HAND %s by %.1f deg, %.2f of %.2f, sure %.2f, %s %s\n", h.Name,
				math.Remainder(ang(h.Tip[0], h.Tip[1])-ang(t[0], t[1]), 360),
				math.Hypot(h.Tip[0]-c[0], h.Tip[1]-c[1])/tr.Dial.A, math.Hypot(t[0]-c[0], t[1]-c[1])/tr.Dial.A, h.Sure,
				tr.Watch.Kind, tr.Watch.DialColour)
		}
	}
}

// long holds the lengths by proposals against the truth.
func (f *found) long(img image.Image, got photo.Found, tr draw.Truth) {
	if len(got.Lengths) == 0 || got.Square == nil {
		return
	}
	m, err := photo.MeasureFound(img, photo.Ask{}, photo.Picks{})
	if err != nil {
		fmt.Println(err)
		return
	}
	truth := map[string][2]float64{"lug width": {tr.Watch.LugWidthMM, 0.3}, "lug to lug": {tr.Watch.LugToLugMM, 0.4}}
	for _, l := range m.Lengths {
		one, is := f.lengths[l.Name], truth[l.Name]
		one.proposed++
		one.right += count(math.Abs(l.MM-is[0]) < is[1])
		one.held += count(l.Interval90[0] <= is[0] && is[0] <= l.Interval90[1])
		if f.verbose {
			fmt.Printf("%s %.2f is %.2f, %s %s\n", l.Name, l.MM, is[0], tr.Watch.Kind, tr.Watch.Band.Kind)
		}
	}
}

func squareRight(got photo.Found, tr draw.Truth) bool {
	if tr.Target == nil || got.Square == nil {
		return tr.Target == nil && got.Square == nil
	}
	for k, c := range got.Square.Corners {
		if math.Hypot(c[0]-tr.Target[k][0], c[1]-tr.Target[k][1]) > 1.5 {
			return false
		}
	}
	return got.Square.MM == tr.TargetMM
}

func plotsRight(got photo.Found, tr draw.Truth) bool {
	if len(got.Plots) != len(tr.Plots) {
		return false
	}
	at := map[int]photo.Point{}
	for _, p := range got.Plots {
		at[p.Hour] = p.At
	}
	for _, p := range tr.Plots {
		q, ok := at[p.Hour]
		if !ok || p.Hour != 12 && math.Hypot(q[0]-p.At[0], q[1]-p.At[1]) > 2.2*p.RadiusPx { // 12 may be two bars
			return false
		}
	}
	return true
}

// measured holds the mid-case by proposals against that by picks.
func (f *found) measured(img image.Image, got photo.Found, tr draw.Truth) {
	if len(got.Circles) == 0 || got.Square == nil {
		return
	}
	f.mid++
	d := newDealer(7)
	picks := photo.Picks{Scale: &photo.ScalePick{Kind: "square", MM: tr.TargetMM},
		Circles: []photo.CirclePick{{Name: "mid-case",
			Through: d.round(tr.MidCasePlane, tr.Watch.MidCaseMM/2, 1, 25, 155, 180, 205, 335, 40)}}}
	for _, p := range tr.Target {
		picks.Scale.Corners = append(picks.Scale.Corners, photo.Point(p))
	}
	a, errA := photo.Measure(img, got.Picks())
	b, errB := photo.Measure(img, picks)
	if errA == nil && errB == nil {
		f.same += count(math.Abs(a.Circles[0].DiameterMM-b.Circles[0].DiameterMM) < 0.1)
	}
}
