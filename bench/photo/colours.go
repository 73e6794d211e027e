package main

import (
	"fmt"
	"math"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

// plotted is a watch whose plots aged alike, each a little differently; odd is the hour
// (0 to 11) of a repaired one that differs by the given ΔE00, −1 for none.
func (d dealer) plotted(scatter float64, odd int, by float64) draw.Watch {
	kind := []string{"diver", "time_only", "chronograph"}[d.IntN(3)]
	w := draw.Watch{Kind: kind, Seed: d.Uint64(), PlotStyle: map[string]string{"diver": "round"}[kind],
		Ageing: draw.Ageing{Fade: 0.3 * d.Float64(), Spots: d.IntN(6), Patina: 0.3 * d.Float64()}}
	if kind == "time_only" && d.IntN(2) == 0 {
		w.PlotStyle = "bar"
	}
	base := draw.Lab{d.between(62, 84), d.between(0, 8), d.between(12, 32)}
	for i := range w.Plots {
		c := base
		for k, s := range []float64{1, 0.35, 0.6} {
			c[k] += scatter * s * d.NormFloat64()
		}
		if i == odd {
			c = d.shifted(base, by)
		}
		w.Plots[i] = draw.Plot{Lab: c, Marker: i%3 != 0, Texture: d.between(0.6, 1.6)}
	}
	return w
}

// shifted is a colour that differs by ΔE00 in a random direction.
func (d dealer) shifted(c draw.Lab, by float64) draw.Lab {
	u := [3]float64{d.NormFloat64(), d.NormFloat64(), d.NormFloat64()}
	n := math.Sqrt(u[0]*u[0] + u[1]*u[1] + u[2]*u[2])
	lo, hi := 0.0, 40.0
	at := func(t float64) draw.Lab { return draw.Lab{c[0] + t*u[0]/n, c[1] + t*u[1]/n, c[2] + t*u[2]/n} }
	for range 50 {
		m := (lo + hi) / 2
		if photo.CIEDE2000(photo.Lab(c), photo.Lab(at(m))) < by {
			lo = m
		} else {
			hi = m
		}
	}
	return at(lo)
}

func (d dealer) dialShot(side int, fall float64) draw.Shot {
	return draw.Shot{WidthPx: side, TiltDeg: d.between(0, 15), TiltAxisDeg: d.between(0, 360),
		RollDeg: d.between(-10, 10), LightFalloff: fall,
		NoiseSD: d.between(0.5, 3), BlurPx: d.between(0.3, 1), JPEGQuality: 85, Gloss: 0.5 * d.Float64()}
}

// dialPicks points at eight places of the edge and at twelve.
func (d dealer) dialPicks(tr draw.Truth, miss float64) photo.DialPicks {
	p := photo.DialPicks{Dial: &photo.DialPick{MM: tr.Watch.DialMM}}
	e := tr.Dial
	sn, cs := math.Sincos(e.AngleDeg * math.Pi / 180)
	for i := range 8 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 8)
		at := draw.Point{e.X + e.A*c*cs - e.B*s*sn, e.Y + e.A*c*sn + e.B*s*cs}
		p.Dial.Through = append(p.Dial.Through, d.by(at, miss))
	}
	t := d.by(tr.Twelve, miss)
	p.Twelve = &t
	return p
}

// plots compares the colours read with the true ones.
func plots(n int, seed uint64, verbose bool) {
	fmt.Printf("\n| plots | dials | found, %% | median ΔE00 | 95 of 100 below |\n| --- | --- | --- | --- | --- |\n")
	for _, c := range []struct {
		name  string
		given bool
	}{{"found", false}, {"picked", true}} {
		var errs []float64
		found, all := 0, 0
		for i := range n {
			d := newDealer(seed + uint64(i))
			w, s := d.plotted(0.6, -1, 0), d.dialShot(1200, 0)
			img, tr := dial(w, s), draw.TruthOfDial(w, s)
			picks := photo.Picks{DialPicks: d.dialPicks(tr, 1.5)}
			truth := map[int]draw.PlotTruth{}
			for _, p := range tr.Plots {
				truth[p.Hour] = p
				if c.given {
					picks.Plots = append(picks.Plots,
						photo.PlotPick{Hour: p.Hour, At: d.by(p.At, 1), RadiusPx: p.RadiusPx})
				}
			}
			r, err := photo.Plots(img, picks)
			all += len(tr.Plots)
			if err != nil {
				fmt.Println(seed+uint64(i), w.Kind, w.PlotStyle, err)
				continue
			}
			for _, p := range r.Plots {
				t, ok := truth[p.Hour]
				e := photo.CIEDE2000(p.Lab, photo.Lab(t.Lab))
				if ok && e < 8 {
					found++
				}
				errs = append(errs, e)
				if verbose && (!ok || e > 2) {
					fmt.Println(seed+uint64(i), w.Kind, w.PlotStyle, p.Hour, ok, p.Lab, t.Lab, p.At, t.At, p.RadiusPx,
						t.RadiusPx, p.Kept)
				}
			}
		}
		fmt.Printf("| %s | %d | %.1f | %.2f | %.2f |\n", c.name, n, 100*float64(found)/float64(all),
			quantile(errs, 0.5), quantile(errs, 0.95))
	}
}

// odd plants one repaired plot in every other dial and counts what is found.
func odd(n int, seed uint64, verbose bool) {
	fmt.Printf("\n| scatter of plots, L* | light falls | repaired plots | found, %% | even dials | with a false alarm, %% | dials with another plot accused, %% |\n| --- | --- | --- | --- | --- | --- | --- |\n")
	for _, c := range []struct{ scatter, fall float64 }{{0.3, 0}, {0.6, 0.15}, {0.9, 0.3}} {
		planted, hit, even, alarm, other := 0, 0, 0, 0, 0
		for i := range 2 * n {
			d := newDealer(seed + uint64(i) + 5000)
			hour := -1
			if i%2 == 0 {
				hour = d.IntN(12)
			}
			w, s := d.plotted(c.scatter, hour, 4), d.dialShot(700, c.fall*d.Float64())
			img, tr := dial(w, s), draw.TruthOfDial(w, s)
			picks := photo.Picks{DialPicks: d.dialPicks(tr, 1)}
			seen := false
			for _, p := range tr.Plots {
				seen = seen || p.Hour%12 == hour
				picks.Plots = append(picks.Plots, photo.PlotPick{Hour: p.Hour, At: d.by(p.At, 0.7),
					RadiusPx: p.RadiusPx})
			}
			if hour >= 0 && !seen {
				continue
			}
			r, err := photo.Plots(img, picks)
			if err != nil {
				fmt.Println(seed+uint64(i), err)
				continue
			}
			false1, true1 := false, false
			for _, p := range r.Plots {
				if p.OddP < 0.05 {
					if p.Hour%12 == hour {
						true1 = true
					} else {
						false1 = true
					}
				}
				if verbose && (p.OddP < 0.05) != (p.Hour%12 == hour) {
					fmt.Printf("%d %s hour %d of %d: p %.4f ΔE %.2f (raw %.2f), fall %.2f, pattern %s\n",
						seed+uint64(i), w.Kind, p.Hour, hour, p.OddP, p.EvenLight, p.FromMedian, r.LightFall, r.Pattern)
				}
			}
			if hour >= 0 {
				planted++
				hit += count(true1)
				other += count(false1)
			} else {
				even++
				alarm += count(false1)
			}
		}
		fmt.Printf("| %.1f | up to %.0f %% | %d | %.0f | %d | %.0f | %.0f |\n", c.scatter, 100*c.fall, planted,
			100*float64(hit)/float64(planted), even, 100*float64(alarm)/float64(even),
			100*float64(other)/float64(planted))
	}
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}
