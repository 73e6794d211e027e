package main

import (
	"fmt"
	"math"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

// tally gathers errors of one figure.
type tally struct {
	err, se []float64
	covered int
}

func (t *tally) add(got, truth, se float64, interval [2]float64) {
	t.err = append(t.err, math.Abs(got-truth))
	t.se = append(t.se, se)
	if interval[0] <= truth && truth <= interval[1] {
		t.covered++
	}
}

func (t *tally) print(name string) {
	n := float64(len(t.err))
	fmt.Printf("| %s | %d | %.3f | %.3f | %.0f | %.3f | %.0f |\n", name, len(t.err), quantile(t.err, 0.5),
		quantile(t.err, 0.95), 100*share(t.err, 0.1), quantile(t.se, 0.5), 100*float64(t.covered)/n)
}

// lengths measures watches on a printed square: flat and with raised parts.
func lengths(n int, seed uint64, verbose bool) {
	for _, c := range []struct {
		name       string
		wide, tall int
		tilt       float64
		relief     float64
		pick       float64
	}{
		{"12 MP, tilt 15°, flat", 4000, 3000, 15, 0, 2},
		{"12 MP, tilt 15°, raised", 4000, 3000, 15, 1, 2},
		{"1.9 MP, tilt 0–25°, flat", 1600, 1200, -1, 0, 1},
		{"1.9 MP, tilt 0–25°, raised", 1600, 1200, -1, 1, 1},
	} {
		tallies := map[string]*tally{}
		names := []string{"mid-case", "lug width", "lug to lug", "crown"}
		for _, k := range names {
			tallies[k] = &tally{}
		}
		for i := range n {
			d := newDealer(seed + uint64(i))
			tilt := c.tilt
			if tilt < 0 {
				tilt = d.between(0, 25)
			}
			w, s := d.watch(), d.shot(c.wide, c.tall, tilt)
			s.Relief = c.relief
			one(d, w, s, c.pick, func(name string, got, truth, se float64, iv [2]float64) {
				tallies[name].add(got, truth, se, iv)
				if verbose {
					fmt.Printf("%d %s %s: %.3f for %.3f ± %.3f\n", seed+uint64(i), w.Kind, name, got, truth, se)
				}
			})
		}
		fmt.Printf("\n%s, hand misses by %g px\n\n| length | pictures | median error, mm | 95 of 100 below | under 0.1 mm, %% | median se | 90 %% interval holds, %% |\n| --- | --- | --- | --- | --- | --- | --- |\n", c.name, c.pick)
		for _, k := range names {
			tallies[k].print(k)
		}
	}
}

func one(d dealer, w draw.Watch, s draw.Shot, miss float64, found func(string, float64, float64, float64, [2]float64)) {
	img, tr := front(w, s), draw.TruthOf(w, s)
	full := tr.Watch
	var corners []photo.Point
	for _, p := range tr.Target {
		corners = append(corners, d.by(p, miss))
	}
	h := func(share float64) (float64, float64) {
		if s.Relief == 0 {
			return 0, 0
		}
		pm := 0.6 // as well as a hand with a rule knows it
		return share*full.ThicknessMM + pm/2*d.NormFloat64(), pm
	}
	mid, midPM := h(0.45)
	lug, lugPM := h(0.36)
	line := func(name string, p [2]draw.Point, height, pm float64) photo.LengthPick {
		return photo.LengthPick{Name: name, A: d.by(p[0], miss), B: d.by(p[1], miss), HeightMM: height,
			HeightPlusMM: pm}
	}
	picks := photo.Picks{
		Scale: &photo.ScalePick{Kind: "square", Corners: corners, MM: tr.TargetMM},
		Circles: []photo.CirclePick{{Name: "mid-case", Through: d.round(tr.MidCasePlane, full.MidCaseMM/2, miss, 25,
			155, 180, 205, 335, 40), HeightMM: mid, HeightPlusMM: midPM}},
		Lengths: []photo.LengthPick{line("lug width", tr.LugWidth[0], lug, lugPM),
			line("lug to lug", tr.LugToLug[0], lug, lugPM), line("crown", tr.Crown, mid, midPM)},
	}
	m, err := photo.Measure(img, picks)
	if err != nil {
		panic(err)
	}
	found("mid-case", m.Circles[0].DiameterMM, full.MidCaseMM, m.Circles[0].SE, m.Circles[0].Interval90)
	for i, truth := range []float64{full.LugWidthMM, full.LugToLugMM, full.CrownMM} {
		found(m.Lengths[i].Name, m.Lengths[i].MM, truth, m.Lengths[i].SE, m.Lengths[i].Interval90)
	}
}
