package photo

import (
	"fmt"
	"image"
	"math"
	"slices"

	"midcase/say"
)

// Measurement is what Measure found.
type Measurement struct {
	Scale   ScaleFigure     `json:"scale"`
	Lengths []LengthFigure  `json:"lengths"`
	Circles []CircleFigure  `json:"circles"`
	Droop   *DroopFigure    `json:"droop,omitempty"`
	Found   bool            `json:"found,omitempty"` // by Find, not picked by a person
	Notes   []say.Statement `json:"notes,omitempty"`
}

// ScaleFigure is the scale in the middle of what gave it.
type ScaleFigure struct {
	Kind       string  `json:"kind"`
	MMPerPx    float64 `json:"mm_per_px"`
	SE         float64 `json:"se"` // mm per px
	ResidualPx float64 `json:"residual_px"`
	TiltDeg    float64 `json:"tilt_deg"`
	CameraMM   float64 `json:"camera_mm"` // lens above the plane of the scale
	CameraSEMM float64 `json:"camera_se_mm"`
	Sure       float64 `json:"sure,omitempty"` // that what gives the scale was found rightly, where it was not picked
}

// LengthFigure is a straight length.
type LengthFigure struct {
	Name       string     `json:"name"`
	MM         float64    `json:"mm"`
	SE         float64    `json:"se_mm"`
	Interval90 [2]float64 `json:"interval_90"`
	Ends       [2]Point   `json:"ends"` // px, as used
	Sure       float64    `json:"sure,omitempty"`
}

// CircleFigure is a diameter.
type CircleFigure struct {
	Name       string     `json:"name"`
	DiameterMM float64    `json:"diameter_mm"`
	SE         float64    `json:"se_mm"`
	Interval90 [2]float64 `json:"interval_90"`
	ResidualPx float64    `json:"residual_px"`
	Share      float64    `json:"edge_share"` // of the way round where the edge was found; 0 rests on the picks alone
	Centre     Point      `json:"centre"`
	HalfAxes   [2]float64 `json:"half_axes_px"`
	AngleDeg   float64    `json:"angle_deg"`
	Sure       float64    `json:"sure,omitempty"`
}

// z90 is the 95 % point of the normal distribution.
const z90 = 1.6448536269514722

// Measure reads lengths and diameters in mm. It needs picks.Scale; everything else is
// optional. Parts lie in the plane of the scale unless height_mm says how far above it
// they stand. A pick that cannot be used is a PickError.
func Measure(img image.Image, picks Picks) (Measurement, error) {
	l, err := newLight(img)
	if err != nil {
		return Measurement{}, err
	}
	if err := picks.check(); err != nil {
		return Measurement{}, err
	}
	tilt, err := l.tiltFromCircles(picks)
	if err != nil {
		return Measurement{}, err
	}
	r, err := l.newRuler(picks, tilt)
	if err != nil {
		return Measurement{}, err
	}
	m := Measurement{Lengths: []LengthFigure{}, Circles: []CircleFigure{}, Scale: r.figure()}
	for i, p := range picks.Lengths {
		f, err := l.length(r, p, fmt.Sprintf("lengths[%d]", i))
		if err != nil {
			return Measurement{}, err
		}
		m.Lengths = append(m.Lengths, f)
	}
	for i, p := range picks.Circles {
		f, err := l.circle(r, p, fmt.Sprintf("circles[%d]", i))
		if err != nil {
			return Measurement{}, err
		}
		m.Circles = append(m.Circles, f)
	}
	if picks.Droop != nil {
		if m.Droop, err = l.droop(r, *picks.Droop); err != nil {
			return Measurement{}, err
		}
	}
	m.Notes = r.notes(picks, m)
	return m, nil
}

// tiltFromCircles finds the largest picked circle for a scale that does not show the
// tilt itself.
func (l light) tiltFromCircles(p Picks) (*Ellipse, error) {
	if p.Scale == nil || p.Scale.Kind == "square" {
		return nil, nil
	}
	var best *Ellipse
	for i, c := range p.Circles {
		if err := l.need(fmt.Sprintf("circles[%d].through", i), c.Through...); err != nil {
			return nil, err
		}
		m, err := l.findRim(c.Through, freeCurve)
		if err == nil && m.refined && m.share > 0.4 && (best == nil || m.ellipse.A > best.A) {
			e := m.ellipse
			best = &e
		}
	}
	return best, nil
}

func (r ruler) figure() ScaleFigure {
	f := ScaleFigure{Kind: r.kind, MMPerPx: r.mmPerPx, ResidualPx: r.residual, TiltDeg: r.tiltDeg, CameraMM: r.camera,
		CameraSEMM: r.cameraSE}
	at := func(h Homography) float64 {
		j := h.jacobian(r.middle)
		return math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
	}
	f.SE = r.error(r.mmPerPx, r.middle, at)
	return f
}

// error is the standard error of a figure from the scale alone. of works the figure
// out on another plane.
func (r ruler) error(value float64, at Point, of func(Homography) float64) float64 {
	v := r.relative * r.relative * value * value
	for _, h := range r.variants {
		d := of(h) - value
		v += d * d
	}
	if r.kind != "square" {
		k := r.offMiddle(at)
		v += k * k * value * value
	}
	return math.Sqrt(v)
}

// offMiddle is the share by which the scale may differ at a place off the middle of
// what gave it: perspective of a tilt whose near side is not known.
func (r ruler) offMiddle(at Point) float64 {
	if r.tilted {
		along := math.Abs(at.sub(r.middle).dot(r.lean)) * r.mmPerPx
		return math.Sin(rad(r.tiltDeg)) * along / r.camera
	}
	// a tilt of up to 5° that nothing shows: foreshortening and perspective
	const unseen = 5.0
	return math.Hypot((1-math.Cos(rad(unseen)))/2, math.Sin(rad(unseen))/2*distance(at, r.middle)*r.mmPerPx/r.camera)
}

// raised corrects a figure for a part that stands above the plane of the scale: seen
// from the lens it is larger by camera/(camera−height).
func (r ruler) raised(value, se, height, plus float64) (float64, float64) {
	if height == 0 {
		return value, se
	}
	if !(plus > 0) {
		plus = max(0.5, 0.15*math.Abs(height))
	}
	k := 1 - height/r.camera
	dh, dc := plus/2/r.camera, height*r.cameraSE/r.camera/r.camera
	return value * k, math.Sqrt(se*se*k*k + value*value*(dh*dh+dc*dc))
}

func (l light) length(r ruler, p LengthPick, field string) (LengthFigure, error) {
	if err := l.need(field+".a", p.A); err != nil {
		return LengthFigure{}, err
	}
	if err := l.need(field+".b", p.B); err != nil {
		return LengthFigure{}, err
	}
	if distance(p.A, p.B) < 2 {
		return LengthFigure{}, pickError(field+".b", "a point away from a", "it lies %.1f px from a",
			distance(p.A, p.B))
	}
	if err := r.heightFits(field, p.HeightMM); err != nil {
		return LengthFigure{}, err
	}
	a, b, endSE := l.refineEnds(p.A, p.B, p.AsPicked)
	of := func(h Homography) float64 { return distance(h.Apply(a), h.Apply(b)) }
	mm := of(r.plane)
	local := mm / distance(a, b)
	se := math.Hypot(r.error(mm, lerp(a, b, 0.5), of), math.Sqrt2*endSE*local)
	mm, se = r.raised(mm, se, p.HeightMM, p.HeightPlusMM)
	return LengthFigure{Name: p.Name, MM: mm, SE: se, Interval90: around(mm, se), Ends: [2]Point{a, b}}, nil
}

func (l light) circle(r ruler, p CirclePick, field string) (CircleFigure, error) {
	if err := l.need(field+".through", p.Through...); err != nil {
		return CircleFigure{}, err
	}
	if err := r.heightFits(field, p.HeightMM); err != nil {
		return CircleFigure{}, err
	}
	fit := planeCurve(r.plane)
	if !r.tilted {
		fit = freeCurve
	}
	m, err := l.pickedRim(p, fit)
	if err != nil {
		return CircleFigure{}, pickError(field+".through", "points well round the circle", "no circle fits them")
	}
	of := func(h Homography) float64 {
		flat := make([]Point, len(m.points))
		for i, q := range m.points {
			flat[i] = h.Apply(q)
		}
		c, err := fitCircleWeighted(flat, m.weights)
		if err != nil {
			return math.NaN()
		}
		return 2 * c.R
	}
	e := m.ellipse
	mm := of(r.plane)
	if !r.tilted {
		mm = 2 * e.A * r.mmPerPx
	}
	if !finite(mm) {
		return CircleFigure{}, pickError(field+".through", "points well round the circle", "no circle fits them")
	}
	local := mm / (2 * e.A)
	se := math.Hypot(r.error(mm, Point{e.X, e.Y}, of), 2*local*math.Hypot(m.radiusError(r.tilted), edgeSE))
	mm, se = r.raised(mm, se, p.HeightMM, p.HeightPlusMM)
	if p.HeightMM != 0 {
		se = math.Hypot(se, hiddenMM*math.Tan(rad(r.tiltDeg)))
	}
	return CircleFigure{Name: p.Name, DiameterMM: mm, SE: se, Interval90: around(mm, se), ResidualPx: m.residual,
		Share:  m.share,
		Centre: Point{e.X, e.Y}, HalfAxes: [2]float64{e.A, e.B}, AngleDeg: e.Angle * 180 / math.Pi}, nil
}

// hiddenMM is the standard error in height of the edge that is seen of a raised round part: at an
// angle one side of it is hidden by what stands higher, and the other shows its flank. From the study.
const hiddenMM = 0.12

func (l light) pickedRim(p CirclePick, fit curve) (rim, error) {
	if !p.AsPicked {
		return l.findRim(p.Through, fit)
	}
	e, err := fit(p.Through, nil)
	res := rms(e, p.Through, nil)
	return rim{points: p.Through, ellipse: e, residual: res, noise: max(l.pickSE(), res)}, err
}

func (r ruler) heightFits(field string, h float64) error {
	if math.Abs(h) > 0.4*r.camera {
		return pickError(field+".height_mm", "a height in mm well below the distance of the lens",
			"found %g with the lens %.0f mm away", h, r.camera)
	}
	return nil
}

func around(value, se float64) [2]float64 { return [2]float64{value - z90*se, value + z90*se} }

// notes say what the figures rest on.
func (r ruler) notes(p Picks, m Measurement) []say.Statement {
	out := slices.Clone(r.doubts)
	if !r.tilted {
		out = append(out, say.That("measured.tilt"))
	}
	flat := false
	for _, c := range p.Circles {
		flat = flat || c.HeightMM == 0
	}
	for _, c := range p.Lengths {
		flat = flat || c.HeightMM == 0
	}
	if flat {
		out = append(out, say.That("measured.flat", say.Fixed("share", 100/r.camera, say.Percent, 2)))
	}
	for _, c := range m.Circles {
		if c.Share < 0.15 {
			out = append(out, say.That("measured.no-edge", say.Term("name", "size", c.Name, c.Name)))
		}
	}
	return out
}
