package draw

import "math"

// Homography maps a point (x, y, 1) to (X, Y, W), row by row; divide by W.
type Homography [9]float64

// Apply maps a point.
func (h Homography) Apply(x, y float64) (float64, float64) {
	w := h[6]*x + h[7]*y + h[8]
	return (h[0]*x + h[1]*y + h[2]) / w, (h[3]*x + h[4]*y + h[5]) / w
}

// Inverse is the map back.
func (h Homography) Inverse() Homography {
	a, b, c, d, e, f, g, i, j := h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]
	out := Homography{
		e*j - f*i, c*i - b*j, b*f - c*e,
		f*g - d*j, a*j - c*g, c*d - a*f,
		d*i - e*g, b*g - a*i, a*e - b*d,
	}
	det := a*out[0] + b*out[3] + c*out[6]
	for k := range out {
		out[k] /= det
	}
	return out
}

// camera is a pinhole without distortion that looks at the middle of the watch.
type camera struct {
	cx, cy float64       // px of the middle of the watch
	focal  float64       // px
	dist   float64       // mm from the pinhole to the table at the middle
	r      [3][3]float64 // watch to camera
	relief float64       // 0 puts every part into the plane of the table
}

func newCamera(s Shot, mmPerPx float64) camera {
	tau, phi, rho := s.TiltDeg*math.Pi/180, s.TiltAxisDeg*math.Pi/180, s.RollDeg*math.Pi/180
	ux, uy := math.Cos(phi), math.Sin(phi)
	sn, cs := math.Sincos(tau)
	t := [3][3]float64{
		{cs + ux*ux*(1-cs), ux * uy * (1 - cs), uy * sn},
		{ux * uy * (1 - cs), cs + uy*uy*(1-cs), -ux * sn},
		{-uy * sn, ux * sn, cs},
	}
	sr, cr := math.Sincos(rho)
	roll := [3][3]float64{{cr, -sr, 0}, {sr, cr, 0}, {0, 0, 1}}
	var m [3][3]float64
	for i := range m {
		for j := range m {
			for k := range m {
				m[i][j] += t[i][k] * roll[k][j]
			}
		}
	}
	return camera{cx: float64(s.WidthPx)/2 + s.ShiftPx[0], cy: float64(s.HeightPx)/2 + s.ShiftPx[1],
		focal: s.DistanceMM / mmPerPx, dist: s.DistanceMM, r: m, relief: s.Relief}
}

// plane gives the map from mm at height z above the table to pixels. Pixel (0,0)
// has its middle at 0.5, 0.5.
func (c camera) plane(z float64) Homography {
	z *= c.relief
	w := [3]float64{-c.r[2][0], -c.r[2][1], c.dist - c.r[2][2]*z}
	var h Homography
	for k := range w {
		x, y := c.r[0][k], c.r[1][k]
		if k == 2 {
			x, y = x*z, y*z
		}
		h[k] = c.cx*w[k] + c.focal*x
		h[3+k] = c.cy*w[k] + c.focal*y
		h[6+k] = w[k]
	}
	return h
}

// Ellipse is an ellipse in pixels; A is the longer half axis, at AngleDeg from
// the x axis towards the y axis (down).
type Ellipse struct {
	X, Y, A, B, AngleDeg float64
}

// ellipseOf gives the picture of a circle (centre c, radius r in mm): the conic
// of the circle carried over by the inverse of the homography.
func ellipseOf(h Homography, c pt, r float64) Ellipse {
	g := h.Inverse()
	// circle: q = [[1,0,-cx],[0,1,-cy],[-cx,-cy,cx²+cy²-r²]]
	q := [9]float64{1, 0, -c.X, 0, 1, -c.Y, -c.X, -c.Y, c.X*c.X + c.Y*c.Y - r*r}
	var m [9]float64
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				for l := range 3 {
					m[3*i+j] += g[3*k+i] * q[3*k+l] * g[3*l+j]
				}
			}
		}
	}
	a, b, d, e, f, k := m[0], m[1], m[4], m[2], m[5], m[8]
	det := a*d - b*b
	x, y := (b*f-d*e)/det, (b*e-a*f)/det
	k0 := a*x*x + 2*b*x*y + d*y*y + 2*e*x + 2*f*y + k
	half, diff := (a+d)/2, math.Hypot((a-d)/2, b)
	l1, l2 := half-diff, half+diff
	if math.Abs(l1) > math.Abs(l2) {
		l1, l2 = l2, l1
	}
	angle := 0.5 * math.Atan2(2*b, a-d) // direction of the larger eigenvalue
	if l1 == half-diff {
		angle += math.Pi / 2
	}
	deg := math.Mod(angle*180/math.Pi+360, 180)
	return Ellipse{X: x, Y: y, A: math.Sqrt(-k0 / l1), B: math.Sqrt(-k0 / l2), AngleDeg: deg}
}
