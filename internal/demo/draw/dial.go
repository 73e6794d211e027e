package draw

import "math"

// dial paints the dial with its print, markers, plots, registers and ageing.
func (c *canvas) dial(w Watch, s Shot) {
	z, r := w.zDial(), w.DialMM/2
	disc := circle(pt{}, r+0.2)
	c.fill(z, disc, w.dialSurface())
	c.ageing(w, z, disc)
	lay := w.layout()
	c.track(w, z, lay)
	for _, g := range lay.registers {
		c.register(w, z, g)
	}
	if w.Reserve {
		c.reserve(w, z, lay.r)
	}
	c.printing(w, z, lay)
	if w.DateWindow {
		c.dateWindow(w, z, lay)
	}
	for h := range 12 {
		c.marker(w, z, lay, h)
	}
	for h := range 12 {
		c.plot(w, z, lay, h, s)
	}
	c.cracks(w, z, disc)
	if !s.PlainLight {
		// the bezel throws its shadow on the edge of the dial
		c.soft(z, annulus(pt{0.5, 0.75}, r, r+6), disc, 0.45, rgb{}, 0.42)
	}
}

// dialSurface is the bare dial.
func (w Watch) dialSurface() shader {
	base := colourOf(w.DialColour)
	r := w.DialMM / 2
	seed := w.Seed + 0xd1a1
	fadeTo := hex(0x6b4526)
	if w.Ageing.FadeColour != "" {
		fadeTo = colourOf(w.Ageing.FadeColour)
	}
	age := func(x, y float64, col rgb) rgb {
		if w.Ageing.Fade > 0 {
			t := smoothstep(0.25, 1.05, math.Hypot(x, y)/r) * w.Ageing.Fade * (0.72 + 0.28*cloud(x/5, y/5, seed+20))
			col = col.mix(fadeTo, float32(0.75*clamp01(t)))
		}
		if w.Ageing.Patina > 0 {
			p := w.Ageing.Patina * cloud(x/3.5, y/3.5, seed+30)
			col = rgb{col[0] * float32(1+0.06*p), col[1] * float32(1+0.03*p),
				col[2] * float32(1-0.06*p-0.05*w.Ageing.Patina)}
		}
		return col
	}
	switch w.DialFinish {
	case "sunray":
		return func(x, y float64) (rgb, float32) {
			t := math.Atan2(y, x)
			d := math.Hypot(x, y)
			sheen := math.Pow(math.Abs(math.Cos(t+0.96)), 3)
			fine := 0.6*streak(t*190, seed) + 0.4*streak(t*420+d*0.2, seed+1)
			k := 0.80 + 0.30*sheen + (0.022+0.035*sheen)*fine*smoothstep(0, 1.5, d)
			return age(x, y, base.scale(float32(k))), 1
		}
	case "gilt":
		return func(x, y float64) (rgb, float32) {
			gl := 0.055*smoothstep(0.9, 0, math.Hypot(x+r*0.35, y+r*0.45)/r) +
				0.02*math.Pow(math.Abs(math.Cos(math.Atan2(y, x)+0.9)), 6)
			return age(x, y, base.scale(0.82)).add(float32(gl + 0.003*smoothNoise(x*20, y*20, seed))), 1
		}
	case "cream":
		return func(x, y float64) (rgb, float32) {
			d := math.Hypot(x, y) / r
			k := 1.0 - 0.06*smoothstep(0.55, 1, d) + 0.012*cloud(x/4, y/4, seed) + 0.006*smoothNoise(x*14, y*14, seed)
			return age(x, y, base.scale(float32(k))), 1
		}
	}
	return func(x, y float64) (rgb, float32) { // matt
		g := 0.016*smoothNoise(x*16, y*16, seed) + 0.010*smoothNoise(x*37, y*37, seed+1)
		light := 0.035 * smoothstep(1.4, 0, math.Hypot(x+r*0.5, y+r*0.6)/r)
		return age(x, y, base.add(float32(light))).add(float32(g)), 1
	}
}

// register is one small dial.
type register struct {
	at    pt
	r     float64
	count int // divisions: 60 seconds, 30 minutes, 12 hours, 59 half days of the moon
	hand  float64
}

// layout says where things lie on the dial, in mm.
type layout struct {
	r         float64 // dial
	track     float64 // middle of the minute track
	plotR     float64 // radius of the ring of plots
	plotSize  float64 // radius or half side of a plot
	markIn    float64 // inner end of the applied markers
	markOut   float64
	markHalf  float64
	registers []register
}

func (w Watch) layout() layout {
	r := w.DialMM / 2
	l := layout{r: r, track: r * 0.955, plotR: r * 0.865, plotSize: 0.034 * r, markIn: 0.66 * r, markOut: 0.815 * r,
		markHalf: 0.030 * r}
	switch w.PlotStyle {
	case "round":
		l.plotR, l.plotSize = 0.79*r, 0.078*r
	case "bar":
		l.plotR, l.plotSize = 0.77*r, 0.062*r
	case "none":
		l.markOut, l.markIn = 0.88*r, 0.66*r
	}
	d := 0.46 * r
	rr := 0.245 * r
	switch w.Registers {
	case 0:
		if w.Moon != "" {
			l.registers = []register{{pt{0, 0.48 * r}, 0.28 * r, moonHalves, w.moonAge()}}
		}
	case 1:
		l.registers = []register{{pt{0, 0.50 * r}, 0.26 * r, 60, 0.62}}
	case 2:
		l.registers = []register{{pt{-d, 0}, rr * 1.08, 60, 0.62}, {pt{d, 0}, rr * 1.08, 30, 0}}
	case 3:
		l.registers = []register{{pt{-d, 0}, rr, 60, 0.62}, {pt{d, 0}, rr, 30, 0}, {pt{0, d}, rr, 12, 0}}
	}
	return l
}

func (w Watch) ink() rgb {
	switch w.Print.Colour {
	case "white":
		return hex(0xe6e3da)
	case "silver":
		return hex(0xc4c4c2)
	case "black":
		return hex(0x232325)
	}
	return colourOf(w.Print.Colour)
}

// track is the minute track, in one of our own variants.
func (c *canvas) track(w Watch, z float64, l layout) {
	ink := flat(w.ink())
	r := l.r
	railway := w.DialVariant == "railway" || w.DialVariant == "sector"
	half := 0.021 * r
	if railway {
		half = 0.024 * r
		for _, k := range []float64{l.track - half, l.track + half} {
			c.fill(z, annulus(pt{}, k-0.035, k+0.035), ink)
		}
	}
	if w.Kind == "dress" && !railway {
		for m := range 60 {
			if w.Print.Foot != "" && m > 26 && m < 34 {
				continue
			}
			if m%5 != 0 {
				c.fill(z, circle(polar(l.track, float64(m)*math.Pi/30), 0.055), ink)
			}
		}
	} else {
		for m := range 60 {
			if w.Print.Foot != "" && m > 26 && m < 34 {
				continue // the lettering at the foot stands there
			}
			a := float64(m) * math.Pi / 30
			wide, long := 0.055, half
			if m%5 == 0 {
				wide, long = 0.13, half*1.35
			}
			c.fill(z, rect(-wide/2*1.6, -l.track-long, wide/2*1.6, -l.track+long).turn(a), ink)
		}
	}
	if w.Kind == "chronograph" {
		for m := range 300 { // fifths of a second
			if m%5 != 0 {
				c.fill(z, rect(-0.028, -l.track-half*0.9, 0.028, -l.track).turn(float64(m)*math.Pi/150), ink)
			}
		}
	}
	switch w.DialVariant {
	case "crosshair":
		soft := thin(w.ink(), 0.75)
		c.fill(z, rect(-0.035, -0.62*r, 0.035, 0.62*r), soft)
		c.fill(z, rect(-0.62*r, -0.035, 0.62*r, 0.035), soft)
	case "sector":
		for _, k := range []float64{0.60 * r, 0.42 * r} {
			c.fill(z, annulus(pt{}, k-0.04, k+0.04), ink)
		}
		for h := range 12 {
			c.fill(z, rect(-0.05, -0.60*r, 0.05, -0.42*r).turn(hourAngle(float64(h))), ink)
		}
	}
}

func (c *canvas) register(w Watch, z float64, g register) {
	base := colourOf(w.smallDials())
	seed := w.Seed + uint64(g.count)
	c.soft(z, annulus(g.at, g.r-0.05, g.r+0.12), nil, 0.12, rgb{}, 0.5)
	c.fill(z, circle(g.at, g.r), func(x, y float64) (rgb, float32) {
		dx, dy := x-g.at.X, y-g.at.Y
		rings := math.Sin(math.Hypot(dx, dy) * 2 * math.Pi / 0.16)
		sheen := math.Pow(math.Abs(math.Cos(math.Atan2(dy, dx)+0.9)), 4)
		k := 0.90 + 0.10*sheen*(0.6+0.4*rings) + 0.01*smoothNoise(x*20, y*20, seed)
		return base.scale(float32(k)).add(float32(0.030*sheen + 0.008*rings)), 1
	})
	ink := flat(w.smallInk())
	if g.count == moonHalves {
		c.moonScale(w, z, g)
		return
	}
	for i := range g.count {
		a := 2 * math.Pi * float64(i) / float64(g.count)
		long, wide := 0.07*g.r, 0.05
		if i%(max(g.count/12, 1)*1) == 0 && (g.count != 30 || i%5 == 0) {
			long, wide = 0.13*g.r, 0.09
		}
		c.fill(z, rect(-wide/2, -0.97*g.r, wide/2, -0.97*g.r+long).turn(a).move(g.at), ink)
	}
	labels := map[int][]int{60: {15, 30, 45, 60}, 30: {10, 20, 30}, 12: {3, 6, 9, 12}}[g.count]
	for _, v := range labels {
		a := 2 * math.Pi * float64(v) / float64(g.count)
		c.fill(z, text(sans, itoa(v), 0.20*g.r, 0.02).move(g.at.add(polar(0.64*g.r, a))), ink)
	}
}

// printing sets the lettering.
func (c *canvas) printing(w Watch, z float64, l layout) {
	ink := flat(w.ink())
	r := l.r
	f := map[string]face{"italic": serifBoldItalic, "sans": sansBold}[w.Print.Face]
	if w.Print.Face == "" || w.Print.Face == "serif" {
		f = serif
	}
	y := -0.49 * r
	name := text(f, w.Print.Maker, 0.086*r, 0.10)
	if x0, _, x1, _ := bounds(name); x1-x0 > 0.76*r {
		name = name.scale(0.76 * r / (x1 - x0))
	}
	c.fill(z, name.move(pt{0, y}), ink)
	if w.Print.Model != "" {
		c.fill(z, text(serifItalic, w.Print.Model, 0.056*r, 0.06).move(pt{0, y + 0.13*r}), ink)
	}
	low := 0.36 * r
	if len(l.registers) == 2 {
		low = 0.40 * r
	}
	if len(l.registers) == 1 || len(l.registers) == 3 {
		low = -0.22 * r
	}
	for i, line := range w.Print.Lower {
		c.fill(z, text(sans, line, 0.050*r, 0.14).move(pt{0, low + float64(i)*0.095*r}), ink)
	}
	if w.Print.Foot != "" {
		c.fill(z, textArc(sans, w.Print.Foot, 0.030*r, 0.30, pt{}, 0.955*r, math.Pi, true), ink)
	}
}

func (c *canvas) dateWindow(w Watch, z float64, l layout) {
	r := l.r
	x, hw, hh := 0.735*r, 0.085*r, 0.068*r
	frame := alloyOf(w.Hands.Metal)
	c.fill(z, roundRect(x-hw-0.14, -hh-0.14, x+hw+0.14, hh+0.14, 0.1), frame.facet(vec{-0.3, -0.4, 0.8}, w.Seed))
	c.fill(z, rect(x-hw, -hh, x+hw, hh), flat(hex(0xe9e5da)))
	c.soft(z, rect(x-hw, -hh-0.3, x+hw, -hh+0.08), rect(x-hw, -hh, x+hw, hh), 0.1, rgb{}, 0.6)
	day := itoa(1 + int(w.Seed%28))
	c.fill(z, text(sans, day, 0.082*r, 0.0).move(pt{x, 0}), flat(hex(0x1d1d1f)))
}

// ageing paints spots on the bare dial.
func (c *canvas) ageing(w Watch, z float64, disc path) {
	d := die{seed: w.Seed + 0x5905}
	r := w.DialMM / 2
	for range w.Ageing.Spots {
		at := polar(r*math.Sqrt(d.unit())*0.97, d.between(0, 2*math.Pi))
		size := d.between(0.05, 0.22) * (1 + 2*math.Pow(d.unit(), 6))
		tone := hex(0x3a2a1c).mix(hex(0x8a7a60), float32(d.unit()*0.6))
		c.soft(z, circle(at, size*1.5), disc, size*0.5, hex(0x7a5a38), 0.35)
		c.fillIn(z, blob(at, size, &d), disc, thin(tone, float32(d.between(0.45, 0.85))))
	}
}

func blob(at pt, size float64, d *die) path {
	var ring []pt
	p1, p2 := d.between(0, 6), d.between(0, 6)
	for i := range 28 {
		a := 2 * math.Pi * float64(i) / 28
		k := size * (1 + 0.22*math.Sin(2*a+p1) + 0.14*math.Sin(5*a+p2))
		ring = append(ring, at.add(pt{k * math.Cos(a), k * math.Sin(a)}))
	}
	return path{ring}
}

// cracks are the fine craze of an old lacquer.
func (c *canvas) cracks(w Watch, z float64, disc path) {
	if w.Ageing.Cracks <= 0 {
		return
	}
	d := die{seed: w.Seed + 0xc4ac}
	r := w.DialMM / 2
	tone := rgb{0.86, 0.82, 0.74}
	if !w.darkDial() {
		tone = rgb{0.25, 0.20, 0.15}
	}
	sh := thin(tone, float32(0.22+0.25*w.Ageing.Cracks))
	for range int(10 + 60*w.Ageing.Cracks) {
		at := polar(r*(0.2+0.8*math.Sqrt(d.unit())), d.between(0, 2*math.Pi))
		dir := d.between(0, 2*math.Pi)
		line := []pt{at}
		for range 3 + int(d.unit()*9) {
			dir += d.between(-0.55, 0.55)
			at = at.add(pt{math.Cos(dir), math.Sin(dir)}.times(d.between(0.15, 0.5)))
			line = append(line, at)
			if d.unit() < 0.25 {
				side := dir + d.between(0.7, 1.4)
				c.fillIn(z, stroke([]pt{at, at.add(pt{math.Cos(side), math.Sin(side)}.times(d.between(0.2, 0.7)))},
					0.022), disc, sh)
			}
		}
		c.fillIn(z, stroke(line, 0.026), disc, sh)
	}
}
