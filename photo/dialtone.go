package photo

import (
	"math"

	"midcase/say"
)

// DialTone is how even the bare dial is.
type DialTone struct {
	Lab         Lab     `json:"lab"`                 // median of the bare dial
	Unevenness  float64 `json:"unevenness_de00"`     // root mean square of twelve sectors from their median
	EdgeFade    float64 `json:"edge_to_centre_de00"` // between the outer and the inner third
	EdgeLighter float64 `json:"edge_lighter_l"`      // L* of the edge less that of the middle
	Spots       []Spot  `json:"spots"`
	SpotPercent float64 `json:"spots_percent"` // of the area of the dial
	SpotMM2     float64 `json:"spots_mm2,omitempty"`
}

// Spot is a small patch that differs from the dial about it.
type Spot struct {
	At       Point   `json:"at"`
	RadiusPx float64 `json:"radius_px"` // of a circle of the same area
	AreaMM2  float64 `json:"area_mm2,omitempty"`
	DE00     float64 `json:"de00"`
}

// The net on which the dial is read.
const (
	toneSide  = 360
	toneReach = 0.95
)

type toneNet struct {
	lab    [toneSide * toneSide]Lab
	inside [toneSide * toneSide]bool
}

func tonePoint(i, j int) Point {
	return Point{(2*(float64(i)+0.5)/toneSide - 1) * toneReach, (2*(float64(j)+0.5)/toneSide - 1) * toneReach}
}

// dialTone reads the dial on a net, without the plots, and judges evenness, fading and
// spots. Medians keep print, markers and hands out.
func (l light) dialTone(f dialFrame, plots []PlotFigure, gain Linear, diameterMM float64) DialTone {
	n := new(toneNet)
	for j := range toneSide {
		for i := range toneSide {
			p := tonePoint(i, j)
			if p.length() > toneReach {
				continue
			}
			k := j*toneSide + i
			n.inside[k] = true
			c := l.linearNear(f.toPx.Apply(p))
			n.lab[k] = corrected(c, gain)
		}
	}
	back := f.toPx.Inverse()
	for _, p := range plots {
		n.mask(back.Apply(p.At), 1.8*p.RadiusPx/f.radius)
	}
	var t DialTone
	sectors := n.medians(func(p Point) (int, bool) {
		r := p.length()
		return int(math.Mod(math.Atan2(p[0], -p[1])/(2*math.Pi)*12+12.5, 12)), r > 0.25 && r < 0.9
	}, 12)
	zones := n.medians(func(p Point) (int, bool) { r := p.length(); return int(r * 3.001), r > 0.12 && r < toneReach },
		3)
	t.Lab = medianLab(sectors)
	ss := 0.0
	for _, s := range sectors {
		d := CIEDE2000(s, t.Lab)
		ss += d * d / float64(len(sectors))
	}
	t.Unevenness = math.Sqrt(ss)
	t.EdgeFade = CIEDE2000(zones[2], zones[0])
	t.EdgeLighter = zones[2][0] - zones[0][0]
	t.Spots = n.spots(f, zones, diameterMM)
	for _, s := range t.Spots {
		t.SpotPercent += 100 * s.RadiusPx * s.RadiusPx / (f.radius * f.radius)
		t.SpotMM2 += s.AreaMM2
	}
	return t
}

// linearNear is the nearest pixel.
func (l light) linearNear(p Point) Linear {
	return l.linear(int(math.Floor(p[0])), int(math.Floor(p[1])))
}

func (n *toneNet) mask(at Point, r float64) {
	place := func(v float64) int {
		return min(max(int((v/toneReach+1)/2*toneSide), 0), toneSide-1)
	}
	for j := place(at[1] - r); j <= place(at[1]+r); j++ {
		for i := place(at[0] - r); i <= place(at[0]+r); i++ {
			if distance(tonePoint(i, j), at) < r {
				n.inside[j*toneSide+i] = false
			}
		}
	}
}

// medians are the median colours of classes of places; every second place is enough.
func (n *toneNet) medians(class func(Point) (int, bool), classes int) []Lab {
	groups := make([][]Lab, classes)
	for k := 0; k < len(n.lab); k += 3 {
		if !n.inside[k] {
			continue
		}
		if c, ok := class(tonePoint(k%toneSide, k/toneSide)); ok && c >= 0 && c < classes {
			groups[c] = append(groups[c], n.lab[k])
		}
	}
	out := make([]Lab, classes)
	for i, g := range groups {
		if len(g) > 0 {
			out[i] = medianLab(g)
		}
	}
	return out
}

const (
	spotFrom = 5.0  // ΔE from the ground at which a place may belong to a spot
	printAt  = 32.0 // ΔE from the ground at which it is print, a marker or a hand
)

// spots are compact patches that differ mildly from the ground of their zone and do not
// touch print, markers or hands.
func (n *toneNet) spots(f dialFrame, zones []Lab, diameterMM float64) []Spot {
	diff := make([]float64, len(n.lab))
	for k := range n.lab {
		if n.inside[k] {
			diff[k] = labDistance(n.lab[k], n.ground(zones, tonePoint(k%toneSide, k/toneSide)))
		}
	}
	least := max(spotFrom, 4*n.grain(diff))
	seen := make([]bool, len(diff))
	out := []Spot{}
	for k := range diff {
		if seen[k] || diff[k] < least {
			continue
		}
		members, printed := flood(k, diff, least, seen)
		if printed {
			continue
		}
		if s, ok := n.spot(members, f, zones, diameterMM); ok {
			out = append(out, s)
		}
	}
	return out
}

// ground is the colour of the bare dial at a distance from the middle.
func (n *toneNet) ground(zones []Lab, p Point) Lab {
	r := p.length()*3 - 0.5
	i := min(max(int(math.Floor(r)), 0), 1)
	t := min(max(r-float64(i), 0), 1)
	var out Lab
	for k := range out {
		out[k] = zones[i][k] + t*(zones[i+1][k]-zones[i][k])
	}
	return out
}

// grain is the usual difference from the ground.
func (n *toneNet) grain(diff []float64) float64 {
	var v []float64
	for k := 0; k < len(diff); k += 7 {
		if n.inside[k] {
			v = append(v, diff[k])
		}
	}
	if len(v) == 0 {
		return 0
	}
	return median(v)
}

// flood gathers the patch of place k and tells whether it touches print.
func flood(k int, diff []float64, least float64, seen []bool) (members []int, printed bool) {
	queue := []int{k}
	seen[k] = true
	for len(queue) > 0 {
		q := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		members = append(members, q)
		printed = printed || diff[q] > printAt
		x, y := q%toneSide, q/toneSide
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				u, v := x+dx, y+dy
				if u < 0 || v < 0 || u >= toneSide || v >= toneSide {
					continue
				}
				if m := v*toneSide + u; !seen[m] && diff[m] >= least {
					seen[m] = true
					queue = append(queue, m)
				}
			}
		}
	}
	return members, printed
}

// spot measures a patch; long, ragged and tiny ones are none.
func (n *toneNet) spot(members []int, f dialFrame, zones []Lab, diameterMM float64) (Spot, bool) {
	if len(members) < 5 || len(members) > toneSide*toneSide/60 {
		return Spot{}, false
	}
	var mx, my, sxx, syy, sxy, diff float64
	c := float64(len(members))
	for _, m := range members {
		mx, my = mx+float64(m%toneSide)/c, my+float64(m/toneSide)/c
		diff += CIEDE2000(n.lab[m], n.ground(zones, tonePoint(m%toneSide, m/toneSide))) / c
	}
	for _, m := range members {
		x, y := float64(m%toneSide)-mx, float64(m/toneSide)-my
		sxx, syy, sxy = sxx+x*x/c, syy+y*y/c, sxy+x*y/c
	}
	// an ellipse of these moments has the area 4π√det; a compact patch fills it
	det := sxx*syy - sxy*sxy
	if det <= 0 || c < 0.7*4*math.Pi*math.Sqrt(det) || math.Max(sxx, syy) > 0 && det < 0.06*(sxx+syy)*(sxx+syy) {
		return Spot{}, false
	}
	cell := 2 * toneReach / toneSide // in units of the frame
	at := Point{(mx+0.5)*cell - toneReach, (my+0.5)*cell - toneReach}
	s := Spot{At: f.toPx.Apply(at), RadiusPx: math.Sqrt(c/math.Pi) * cell * f.scaleAt(at), DE00: diff}
	if diameterMM > 0 {
		s.AreaMM2 = c * cell * cell * diameterMM * diameterMM / 4
	}
	return s, true
}

func (t DialTone) reasons() []say.Statement {
	var out []say.Statement
	switch {
	case t.EdgeFade <= 3:
	case t.EdgeLighter > 0:
		out = append(out, say.That("plots.edge-lighter", deltaE("by", t.EdgeFade)))
	default:
		out = append(out, say.That("plots.edge-darker", deltaE("by", t.EdgeFade)))
	}
	if n := len(t.Spots); n > 0 {
		out = append(out, say.That("plots.spots", say.Count("n", n),
			say.Fixed("area", t.SpotPercent, say.Percent, 2)))
	}
	return out
}
