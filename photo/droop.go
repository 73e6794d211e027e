package photo

import (
	"fmt"
	"math"
)

// DroopFigure is how far a bracelet hangs when it is held out flat by the case side.
type DroopFigure struct {
	DroopMM      float64    `json:"droop_mm"`
	FreeLengthMM float64    `json:"free_length_mm"`
	Ratio        float64    `json:"ratio"` // droop over free length
	SE           float64    `json:"ratio_se"`
	Interval90   [2]float64 `json:"ratio_interval_90"`
	PerLinkMM    float64    `json:"pitch_mm,omitempty"` // free length over the links, where they are counted
	Gaps         []Gap      `json:"gaps,omitempty"`     // between links, as picked
}

// Gap is the width of one gap between two links.
type Gap struct {
	MM float64 `json:"mm"`
	SE float64 `json:"se_mm"`
}

func (l light) droop(r ruler, p DroopPick) (*DroopFigure, error) {
	line, field := p.Level, "droop.level"
	if line == nil {
		line, field = p.Plumb, "droop.plumb"
	}
	if line == nil {
		return nil, &PickError{Field: "droop", Found: "there is no level or plumb line",
			Want: "two points of one of them"}
	}
	for _, c := range []struct {
		field string
		ps    []Point
	}{{"droop.held", []Point{p.Held}}, {"droop.free_end", []Point{p.FreeEnd}}, {field, line[:]},
		{"droop.along", p.Along}} {
		if err := l.need(c.field, c.ps...); err != nil {
			return nil, err
		}
	}
	if distance(line[0], line[1]) < 20 {
		return nil, pickError(field, "two points far apart", "they lie %.1f px apart", distance(line[0], line[1]))
	}
	if distance(p.Held, p.FreeEnd) < 20 {
		return nil, pickError("droop.free_end", "a point away from where the bracelet is held",
			"it lies %.1f px from it", distance(p.Held, p.FreeEnd))
	}
	at := r.plane.Apply
	across := at(line[1]).sub(at(line[0])).unit()
	if p.Level == nil {
		across = Point{across[1], -across[0]}
	}
	reach := at(p.FreeEnd).sub(at(p.Held))
	droop := math.Abs(across.cross(reach))
	length, last := 0.0, at(p.Held)
	for _, q := range append(append([]Point(nil), p.Along...), p.FreeEnd) {
		length += distance(last, at(q))
		last = at(q)
	}
	if len(p.Along) == 0 { // the bow is longer than its chord: parabola, 8/3 of the sag squared over the chord
		sag := droop / 4
		length += 8.0 / 3 * sag * sag / length
	}
	f := &DroopFigure{DroopMM: droop, FreeLengthMM: length, Ratio: droop / length}
	tip := math.Sqrt2 * l.pickSE() * r.mmPerPx
	level := math.Sqrt2 * l.pickSE() / distance(line[0], line[1]) * reach.length()
	f.SE = math.Hypot(math.Hypot(tip, level)/length, 0.01*f.Ratio)
	f.Interval90 = around(f.Ratio, f.SE)
	f.Interval90[0] = max(0, f.Interval90[0])
	if p.Links > 0 {
		f.PerLinkMM = length / float64(p.Links)
	}
	var err error
	f.Gaps, err = l.gaps(r, p.Gaps)
	return f, err
}

// gaps measures the gaps between links from edge to edge near the points picked.
func (l light) gaps(r ruler, picked [][2]Point) ([]Gap, error) {
	var out []Gap
	for i, g := range picked {
		field := fmt.Sprintf("droop.gaps[%d]", i)
		if err := l.need(field, g[0], g[1]); err != nil {
			return nil, err
		}
		if distance(g[0], g[1]) < 1 {
			return nil, pickError(field, "a point on either side of the gap", "they lie %.1f px apart",
				distance(g[0], g[1]))
		}
		// in a narrow gap the search for one edge would meet the other
		a, b, se := l.refineEnds(g[0], g[1], distance(g[0], g[1]) < 2*l.pickSE()+4)
		mm := distance(r.plane.Apply(a), r.plane.Apply(b))
		out = append(out, Gap{MM: mm, SE: math.Hypot(math.Sqrt2*se*r.mmPerPx, 0.01*mm)})
	}
	return out, nil
}

// Elongation is the stretch of a bracelet by length under a stated pull:
// 100·(L − n·p)/(n·p) per cent over n links of unworn pitch p, with its standard
// error from those of L and p (all in mm).
func Elongation(lengthMM, lengthSE float64, links int, pitchMM, pitchSE float64) (pct, se float64) {
	n := float64(links) * pitchMM
	if !(n > 0) {
		return math.NaN(), math.NaN()
	}
	return 100 * (lengthMM - n) / n, 100 / n * math.Hypot(lengthSE, lengthMM/pitchMM*pitchSE)
}
