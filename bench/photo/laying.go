package main

import (
	"fmt"
	"math"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

// overlay lays pairs of pictures of one dial on each other: other tilt, roll, light and
// time shown; in every other pair another line is printed under the maker's name.
func overlay(n int, seed uint64, verbose bool) {
	var off, claimed []float64
	refined, moved, found := 0, 0, 0
	var listed []float64
	for i := range n {
		d := newDealer(seed + uint64(i) + 9000)
		w := d.plotted(0.5, -1, 0)
		w.Print = draw.Print{Maker: "Aldermoor", Model: "Tidewater", Lower: []string{"AUTOMATIC"}}
		v := w
		v.Hands.Hour = d.between(1, 12)
		if i%2 == 1 {
			v.Print.Model = "Tidewatch"
		}
		s, r := d.dialShot(1100, 0.2*d.Float64()), d.dialShot(1300, 0.2*d.Float64())
		a, b := dial(v, s), dial(w, r)
		ta, tb := draw.TruthOfDial(v, s), draw.TruthOfDial(w, r)
		pa, pb := d.dialPicks(ta, 1.5), d.dialPicks(tb, 1.5)
		o, err := photo.Overlay(a, b, photo.Picks{Subject: &pa, Reference: &pb})
		if err != nil {
			fmt.Println(seed+uint64(i), err)
			continue
		}
		e := farOff(o.Transform, ta, tb)
		off, claimed = append(off, e), append(claimed, o.ResidualPx)
		if o.Refined {
			refined++
		}
		// the print that changed, in the subject
		x, y := ta.DialPlane.Apply(0, -0.36*ta.Watch.DialMM/2)
		hit := false
		for _, q := range o.Differences {
			hit = hit || math.Hypot(q.At[0]-x, q.At[1]-y) < 0.2*ta.Dial.A
		}
		if i%2 == 1 {
			moved++
			found += count(hit)
		} else {
			listed = append(listed, float64(len(o.Differences)))
		}
		if verbose {
			fmt.Printf("%d %s off %.2f px, claimed %.2f, agreement %.2f, refined %v, %d differences, hit %v of %v\n",
				seed+uint64(i), w.Kind, e, o.ResidualPx, o.Agreement, o.Refined, len(o.Differences), hit, i%2 == 1)
		}
	}
	fmt.Printf("\n| pairs | refined by print | off, median px | 95 of 100 below | stated residual, median px | changed print found | places listed where only the hands differ, median |\n| --- | --- | --- | --- | --- | --- | --- |\n| %d | %d | %.2f | %.2f | %.2f | %d of %d | %.0f |\n",
		len(off), refined, quantile(off, 0.5), quantile(off, 0.95), quantile(claimed, 0.5), found, moved,
		quantile(listed, 0.5))
}

// farOff is the root mean square error of a transform over the dial, px of the
// reference.
func farOff(h photo.Homography, a, b draw.Truth) float64 {
	s, n := 0.0, 0.0
	r := a.Watch.DialMM / 2
	for _, k := range []float64{0, 0.3, 0.6, 0.9} {
		for t := range 12 {
			sn, cs := math.Sincos(float64(t))
			ax, ay := a.DialPlane.Apply(k*r*cs, k*r*sn)
			bx, by := b.DialPlane.Apply(k*r*cs, k*r*sn)
			q := h.Apply(photo.Point{ax, ay})
			s += (q[0]-bx)*(q[0]-bx) + (q[1]-by)*(q[1]-by)
			n++
		}
	}
	return math.Sqrt(s / n)
}
