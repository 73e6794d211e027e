package photo

import "math"

// placeCamera works out how far the lens stands above the plane of the scale: as
// given, by the focal length, by the perspective of the square, or the usual.
func (l light) placeCamera(r *ruler, c *CameraPick) {
	r.camera, r.cameraSE = usualCameraMM, usualCameraSEMM
	if c != nil && c.DistanceMM > 0 {
		pct := c.DistancePct
		if !(pct > 0) {
			pct = 10
		}
		r.camera, r.cameraSE, r.stated = c.DistanceMM, c.DistanceMM*pct/100, true
		return
	}
	if c != nil && c.Focal35MM > 0 {
		// the diagonal of 24 × 36 mm is 43.27 mm
		f := c.Focal35MM / 43.2666 * math.Hypot(float64(l.w), float64(l.h))
		if h, ok := l.heightByFocal(r.plane, f); ok && r.kind == "square" {
			r.camera, r.cameraSE, r.stated = h, 0.08*h, true
		} else {
			r.camera, r.cameraSE, r.stated = f*r.mmPerPx, 0.10*f*r.mmPerPx, true
		}
		return
	}
	if r.kind != "square" {
		return
	}
	h, ok := l.heightByPerspective(r.plane)
	if !ok {
		return
	}
	v := 0.0
	for _, p := range r.variants {
		hv, okV := l.heightByPerspective(p)
		if !okV {
			return
		}
		v += (hv - h) * (hv - h)
	}
	if se := math.Sqrt(v); se < 0.5*r.cameraSE {
		r.camera, r.cameraSE, r.stated = h, math.Hypot(se, 0.03*h), true
	}
}

// centred is the map from mm to px about the middle of the picture, where the lens
// looks if the picture is not cropped.
func (l light) centred(plane Homography) Homography {
	m := plane.Inverse()
	return Homography{1, 0, -float64(l.w) / 2, 0, 1, -float64(l.h) / 2, 0, 0, 1}.Times(m)
}

// heightByPerspective finds the focal length from the two conditions that the axes of
// the plane are upright to each other and of one length (Zhang 2000, with a known
// middle and square pixels), and from it the height of the lens.
func (l light) heightByPerspective(plane Homography) (float64, bool) {
	h := l.centred(plane)
	// in px over the width, so that both conditions have like size
	k := 1 / float64(l.w)
	a1, b1, c1 := h[0]*k, h[3]*k, h[6]
	a2, b2, c2 := h[1]*k, h[4]*k, h[7]
	p, q := a1*a2+b1*b2, c1*c2
	u, v := a1*a1+b1*b1-a2*a2-b2*b2, c1*c1-c2*c2
	// w = 1/f²: p w + q = 0 and u w + v = 0, least squares
	d := q*q + v*v
	if d == 0 {
		return 0, false
	}
	f2 := -(p*q + u*v) / d
	if !(f2 > 0.09) || f2 > 100 { // shorter than any lens in use, or no perspective
		return 0, false
	}
	return l.heightByFocal(plane, math.Sqrt(f2)*float64(l.w))
}

// heightByFocal is the distance of the lens from the plane, mm, for a focal length in
// px.
func (l light) heightByFocal(plane Homography, f float64) (float64, bool) {
	h := l.centred(plane)
	r1 := [3]float64{h[0] / f, h[3] / f, h[6]}
	r2 := [3]float64{h[1] / f, h[4] / f, h[7]}
	t := [3]float64{h[2] / f, h[5] / f, h[8]}
	n := (norm3(r1) + norm3(r2)) / 2
	if !(n > 0) {
		return 0, false
	}
	r3 := [3]float64{r1[1]*r2[2] - r1[2]*r2[1], r1[2]*r2[0] - r1[0]*r2[2], r1[0]*r2[1] - r1[1]*r2[0]}
	m := norm3(r3)
	if !(m > 0) {
		return 0, false
	}
	height := math.Abs(r3[0]*t[0]+r3[1]*t[1]+r3[2]*t[2]) / m / n
	return height, height > 20 && height < 20000
}

func norm3(v [3]float64) float64 { return math.Sqrt(v[0]*v[0] + v[1]*v[1] + v[2]*v[2]) }
