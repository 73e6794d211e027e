package photo

import (
	"cmp"
	"fmt"
	"image"
	"math"
	"slices"

	"midcase/say"
)

// Overlaid is one dial laid on another.
type Overlaid struct {
	Transform Homography `json:"transform"` // px of the subject to px of the reference, row by row
	// px of the reference by which parts of the print are still off, median
	ResidualPx float64 `json:"residual_px"`
	// correlation of the two dials, light taken out; 1 is the same picture
	Agreement   float64         `json:"agreement"`
	Refined     bool            `json:"refined"` // by the print; otherwise by the circles alone
	Differences []Difference    `json:"differences"`
	Reasons     []say.Statement `json:"reasons,omitempty"`

	subject, reference   light
	fromSubject, fromRef Homography // unit coordinates of the reference's dial to px
	side                 int
	strength             plane
}

// Difference is a place where the dials differ by more than light and small shifts.
type Difference struct {
	At       Point   `json:"at"`        // px of the subject
	RadiusPx float64 `json:"radius_px"` // px of the subject
	Strength float64 `json:"strength"`  // difference of encoded lightness, 0 to 100

	ClockHour  float64 `json:"clock_hour"`          // where on the dial: 0 up to 12
	FromMiddle float64 `json:"from_middle"`         // share of the dial's radius
	RadiusMM   float64 `json:"radius_mm,omitempty"` // where the diameter of a dial is given
}

// Place says where on the dial a difference lies.
func (d Difference) Place() say.Statement {
	if d.FromMiddle < 0.12 {
		return say.That("overlay.middle")
	}
	at := say.That("overlay.at", say.Count("hour", (int(math.Round(d.ClockHour))+11)%12+1))
	if half := math.Floor(d.ClockHour); math.Abs(d.ClockHour-half-0.5) < 0.2 {
		at = say.That("overlay.between", say.Count("from", (int(half)+11)%12+1), say.Count("to", int(half)%12+1))
	}
	switch {
	case d.FromMiddle < 0.45:
		return say.That("overlay.near-middle", say.Saying("at", at))
	case d.FromMiddle > 0.8:
		return say.That("overlay.near-edge", say.Saying("at", at))
	}
	return say.That("overlay.half-way", say.Saying("at", at))
}

const (
	minAgreement = 0.25
	maxMove      = 0.08 // of the radius, by which print may correct the circles
)

// Overlay lays the dial of the subject on that of the reference: first by their edges
// and twelve, then by what is printed on them. picks holds both dials under subject and
// reference, or one pick for both.
func Overlay(subject, reference image.Image, picks Picks) (Overlaid, error) {
	var o Overlaid
	var err error
	if o.subject, err = newLight(subject); err != nil {
		return o, fmt.Errorf("subject: %w", err)
	}
	if o.reference, err = newLight(reference); err != nil {
		return o, fmt.Errorf("reference: %w", err)
	}
	a, b := picks.DialPicks, picks.DialPicks
	fieldA, fieldB := "", ""
	if picks.Subject != nil {
		a, fieldA = *picks.Subject, "subject."
	}
	if picks.Reference != nil {
		b, fieldB = *picks.Reference, "reference."
	}
	fa, err := o.subject.newDialFrame(a, fieldA)
	if err != nil {
		return o, err
	}
	fb, err := o.reference.newDialFrame(b, fieldB)
	if err != nil {
		return o, err
	}
	o.side = min(max(int(2*fb.radius)/8*8, 256), 896)
	o.fromSubject, o.fromRef = fa.toPx, fb.toPx
	o.refine(fb)
	o.Transform = o.fromRef.Times(o.fromSubject.Inverse()).scaled()
	o.findDifferences()
	o.placeDifferences(fa, a, b)
	o.explain()
	return o, nil
}

// placeDifferences says of each difference where on the dial it lies.
func (o *Overlaid) placeDifferences(f dialFrame, a, b DialPicks) {
	mm := 0.0
	switch {
	case a.Dial.MM > 0:
		mm = a.Dial.MM
	case b.Dial.MM > 0:
		mm = b.Dial.MM
	}
	back := o.fromSubject.Inverse()
	for i := range o.Differences {
		d := &o.Differences[i]
		u := back.Apply(d.At)
		d.FromMiddle = u.length()
		d.ClockHour = math.Mod(math.Atan2(u[0], -u[1])/(2*math.Pi)*12+12, 12)
		d.RadiusMM = d.RadiusPx * mm / 2 / f.radius
	}
}

// refine corrects the map of the subject by the print, coarse to fine.
func (o *Overlaid) refine(fb dialFrame) {
	ref := o.reference.render(o.fromRef, o.side)
	sub := o.subject.render(o.fromSubject, o.side)
	refs, subs := []plane{ref}, []plane{sub}
	for refs[len(refs)-1].side >= 2*96 {
		refs, subs = append(refs, refs[len(refs)-1].half()), append(subs, subs[len(subs)-1].half())
	}
	h := Homography{1, 0, 0, 0, 1, 0, 0, 0, 1}
	ok := true
	for i := len(refs) - 1; i >= 0 && ok; i-- {
		if refs[i].side > 512 && i != 0 {
			continue
		}
		h, ok = align(normalised(refs[i]), normalised(subs[i]), h, 12)
	}
	fixed := normalised(ref)
	circles := agreement(fixed, normalised(sub), Homography{1, 0, 0, 0, 1, 0, 0, 0, 1})
	o.Agreement = circles
	moved := 0.0
	for hour := range 12 {
		p := hourPoint(hour, 0.9)
		moved = max(moved, distance(h.Apply(p), p))
	}
	if ok && moved < maxMove {
		// once more on the subject as it is, not resampled twice
		next := o.fromSubject.Times(h)
		again := normalised(o.subject.render(next, o.side))
		if g, fine := align(fixed, again, Homography{1, 0, 0, 0, 1, 0, 0, 0, 1}, 6); fine {
			next = next.Times(g)
			if agree := agreement(fixed, again, g); agree > circles-0.01 && agree > minAgreement {
				o.fromSubject, o.Refined, o.Agreement = next, true, agree
				shifts := blockShifts(fixed, again, g, 6)
				if len(shifts) > 0 {
					o.ResidualPx = median(shifts) * fb.radius
				}
			}
		}
	}
	if !o.Refined {
		shifts := blockShifts(fixed, normalised(sub), Homography{1, 0, 0, 0, 1, 0, 0, 0, 1}, 6)
		o.ResidualPx = 2
		if len(shifts) > 0 {
			o.ResidualPx = max(2, median(shifts)*fb.radius)
		}
	}
}

func normalised(p plane) plane { return p.normal(max(4, p.side/14), 0.03) }

// findDifferences lists compact places that differ however either dial is shifted by a
// pixel.
func (o *Overlaid) findDifferences() {
	ref := flattened(o.reference.render(o.fromRef, o.side))
	sub := flattened(o.subject.render(o.fromSubject, o.side))
	o.strength = newPlane(o.side)
	var inside []float64
	for j := 1; j < o.side-1; j++ {
		for i := 1; i < o.side-1; i++ {
			x, y := ref.unit(i, j)
			if x*x+y*y > alignReach*alignReach {
				continue
			}
			k := j*o.side + i
			d := max(nearest(sub, ref.v[k], k), nearest(ref, sub.v[k], k))
			o.strength.v[k] = d
			if k%5 == 0 {
				inside = append(inside, float64(d))
			}
		}
	}
	if len(inside) == 0 {
		return
	}
	m := median(inside)
	least := float32(max(0.06, m+7*madScale(inside, m)))
	seen := make([]bool, len(o.strength.v))
	o.Differences = []Difference{}
	for k, v := range o.strength.v {
		if v < least || seen[k] {
			continue
		}
		if d, ok := o.difference(o.gather(k, least, seen)); ok {
			o.Differences = append(o.Differences, d)
		}
	}
	o.Differences = together(o.Differences, smallPlace*o.subjectRadius())
	slices.SortStableFunc(o.Differences, func(a, b Difference) int {
		return cmp.Compare(b.Strength*b.RadiusPx*b.RadiusPx, a.Strength*a.RadiusPx*a.RadiusPx)
	})
	if len(o.Differences) > 200 {
		o.Differences = o.Differences[:200]
	}
}

// flattened takes the slow fall of light out but keeps contrasts.
func flattened(p plane) plane {
	w := max(4, p.side/8)
	sum, _ := p.sums()
	n := p.side + 1
	out := newPlane(p.side)
	for j := range p.side {
		y0, y1 := max(j-w, 0), min(j+w+1, p.side)
		for i := range p.side {
			x0, x1 := max(i-w, 0), min(i+w+1, p.side)
			m := (sum[y1*n+x1] - sum[y0*n+x1] - sum[y1*n+x0] + sum[y0*n+x0]) / float64((x1-x0)*(y1-y0))
			out.v[j*p.side+i] = p.v[j*p.side+i] - float32(m)
		}
	}
	return out
}

// nearest is the least difference of a value from a plane within one place.
func nearest(p plane, v float32, k int) float32 {
	best := float32(math.Inf(1))
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			d := p.v[k+dy*p.side+dx] - v
			if d < 0 {
				d = -d
			}
			best = min(best, d)
		}
	}
	return best
}

// gather collects places of one difference; gaps of two places are bridged.
func (o *Overlaid) gather(k int, least float32, seen []bool) []int {
	queue, out := []int{k}, []int(nil)
	seen[k] = true
	for len(queue) > 0 {
		q := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		out = append(out, q)
		x, y := q%o.side, q/o.side
		for dy := -3; dy <= 3; dy++ {
			for dx := -3; dx <= 3; dx++ {
				u, v := x+dx, y+dy
				if u < 0 || v < 0 || u >= o.side || v >= o.side {
					continue
				}
				if m := v*o.side + u; !seen[m] && o.strength.v[m] >= least {
					seen[m] = true
					queue = append(queue, m)
				}
			}
		}
	}
	return out
}

func (o *Overlaid) difference(members []int) (Difference, bool) {
	if len(members) < max(6, o.side*o.side/40000) {
		return Difference{}, false
	}
	var x, y, s, far float64
	n := float64(len(members))
	for _, m := range members {
		u, v := o.strength.unit(m%o.side, m/o.side)
		x, y, s = x+u/n, y+v/n, s+float64(o.strength.v[m])/n
	}
	for _, m := range members {
		u, v := o.strength.unit(m%o.side, m/o.side)
		far = max(far, math.Hypot(u-x, v-y))
	}
	j := o.fromSubject.jacobian(Point{x, y})
	scale := math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
	return Difference{At: o.fromSubject.Apply(Point{x, y}), RadiusPx: far * scale, Strength: 100 * s}, true
}

// smallPlace is the share of the dial's radius up to which places that differ are taken
// together with their neighbours: the letters of one line.
const smallPlace = 0.06

// subjectRadius is the mean radius of the dial in px of the subject.
func (o *Overlaid) subjectRadius() float64 {
	j := o.fromSubject.jacobian(Point{})
	return math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
}

// together joins places of at most so many px radius whose rims lie closer than the
// larger of their radii.
func together(all []Difference, most float64) []Difference {
	group := make([]int, len(all))
	for i := range group {
		group[i] = i
	}
	var root func(int) int
	root = func(i int) int {
		if group[i] != i {
			group[i] = root(group[i])
		}
		return group[i]
	}
	for i, a := range all {
		for j, b := range all[:i] {
			near := distance(a.At, b.At)-a.RadiusPx-b.RadiusPx < max(a.RadiusPx, b.RadiusPx)
			if a.RadiusPx <= most && b.RadiusPx <= most && near {
				group[root(i)] = root(j)
			}
		}
	}
	members := map[int][]Difference{}
	var order []int
	for i, d := range all {
		r := root(i)
		if members[r] == nil {
			order = append(order, r)
		}
		members[r] = append(members[r], d)
	}
	out := []Difference{}
	for _, r := range order {
		out = append(out, enclosing(members[r]))
	}
	return out
}

// enclosing is one place about others, as strong as the strongest of them.
func enclosing(ds []Difference) Difference {
	if len(ds) == 1 {
		return ds[0]
	}
	lo, hi := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, d := range ds {
		for k := range 2 {
			lo[k], hi[k] = min(lo[k], d.At[k]-d.RadiusPx), max(hi[k], d.At[k]+d.RadiusPx)
		}
	}
	out := Difference{At: lerp(lo, hi, 0.5)}
	for _, d := range ds {
		out.RadiusPx = max(out.RadiusPx, distance(out.At, d.At)+d.RadiusPx)
		out.Strength = max(out.Strength, d.Strength)
	}
	return out
}

func (o *Overlaid) explain() {
	if !o.Refined {
		o.Reasons = append(o.Reasons, say.That("overlay.not-refined"))
	}
	if len(o.Differences) > 0 {
		o.Reasons = append(o.Reasons, say.That("overlay.look"))
	}
}

// WithoutPictures is the result alone: views can no longer be drawn from it, and the
// two pictures may be let go.
func (o Overlaid) WithoutPictures() Overlaid {
	o.subject, o.reference, o.strength, o.side = light{}, light{}, plane{}, 0
	return o
}
