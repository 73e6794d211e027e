package photo

import "math"

// CIEDE2000 is the colour difference ΔE00 of two CIELAB colours with all parametric
// factors 1 (CIE 142-2001, in the form of Sharma, Wu and Dalal 2005, Color Research
// & Application 30, 21–30). It is symmetric and 0 only for equal colours.
func CIEDE2000(p, q Lab) float64 {
	mean := (p.Chroma() + q.Chroma()) / 2
	m7 := math.Pow(mean, 7)
	g := 0.5 * (1 - math.Sqrt(m7/(m7+pow25to7)))
	a1, a2 := (1+g)*p[1], (1+g)*q[1]
	c1, c2 := math.Hypot(a1, p[2]), math.Hypot(a2, q[2])
	h1, h2 := hueDeg(a1, p[2]), hueDeg(a2, q[2])
	dh, hm := hueStep(h1, h2, c1*c2 == 0)
	dL, dC := q[0]-p[0], c2-c1
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(rad(dh)/2)
	lm, cm := (p[0]+q[0])/2, (c1+c2)/2
	t := 1 - 0.17*math.Cos(rad(hm-30)) + 0.24*math.Cos(rad(2*hm)) +
		0.32*math.Cos(rad(3*hm+6)) - 0.20*math.Cos(rad(4*hm-63))
	sl := 1 + 0.015*(lm-50)*(lm-50)/math.Sqrt(20+(lm-50)*(lm-50))
	sc := 1 + 0.045*cm
	sh := 1 + 0.015*cm*t
	c7 := math.Pow(cm, 7)
	turn := 30 * math.Exp(-((hm-275)/25)*((hm-275)/25))
	rt := -2 * math.Sqrt(c7/(c7+pow25to7)) * math.Sin(rad(2*turn))
	l, c, h := dL/sl, dC/sc, dH/sh
	return math.Sqrt(max(0, l*l+c*c+h*h+rt*c*h))
}

const pow25to7 = 6103515625 // 25⁷

// hueDeg is the hue angle from 0 to below 360; 0 for grey.
func hueDeg(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

// hueStep is the difference of two hues and their mean. Hues that lie opposite to
// within rounding take the branch of exactly 180°, as the published pairs do.
func hueStep(h1, h2 float64, grey bool) (step, mean float64) {
	if grey {
		return 0, h1 + h2
	}
	const rounding = 1e-9
	step = h2 - h1
	switch {
	case math.Abs(step) <= 180+rounding:
		return step, (h1 + h2) / 2
	case step > 180:
		step -= 360
	default:
		step += 360
	}
	if h1+h2 < 360 {
		return step, (h1 + h2 + 360) / 2
	}
	return step, (h1 + h2 - 360) / 2
}

func rad(deg float64) float64 { return deg * math.Pi / 180 }
