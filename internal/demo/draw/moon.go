package draw

import "math"

// moonHalves is the number of half days from new moon to new moon, near enough.
const moonHalves = 59

// moonAge is the age that the small hand shows, as a share of a turn.
func (w Watch) moonAge() float64 { return float64(5+w.Seed*11%48) / moonHalves }

// smallDials is the colour of the small dials.
func (w Watch) smallDials() string {
	if w.SmallDials != "" {
		return w.SmallDials
	}
	return w.DialColour
}

// smallInk is the colour of their print.
func (w Watch) smallInk() rgb {
	switch {
	case w.SmallDials == "":
		return w.ink()
	case Watch{DialColour: w.SmallDials}.darkDial():
		return hex(0xe6e3da)
	}
	return hex(0x232325)
}

// moonScale marks the age of the moon: in days with a stroke each half day, or by the
// four quarters.
func (c *canvas) moonScale(w Watch, z float64, g register) {
	tone := w.smallInk()
	ink := flat(tone)
	if w.Moon == "quarters" {
		for q := range 4 {
			a := float64(q) * math.Pi / 2
			c.fill(z, annulus(g.at, 0.95*g.r, 0.97*g.r), ink)
			c.fill(z, rect(-0.03*g.r, -0.97*g.r, 0.03*g.r, -0.85*g.r).turn(a).move(g.at), ink)
			c.littleMoon(z, g.at.add(polar(0.64*g.r, a)), 0.13*g.r, q, tone)
		}
		return
	}
	for i := range moonHalves {
		long, wide := 0.06*g.r, 0.02*g.r
		if i%2 == 0 {
			long, wide = 0.11*g.r, 0.03*g.r
		}
		a := 2 * math.Pi * float64(i) / moonHalves
		c.fill(z, rect(-wide/2, -0.97*g.r, wide/2, -0.97*g.r+long).turn(a).move(g.at), ink)
	}
	for day := 5; day <= 25; day += 5 {
		a := 2 * math.Pi * float64(2*day) / moonHalves
		c.fill(z, text(sans, itoa(day), 0.19*g.r, 0.02).move(g.at.add(polar(0.66*g.r, a))), ink)
	}
	c.littleMoon(z, g.at.add(polar(0.62*g.r, 0)), 0.12*g.r, 0, tone)
}

// littleMoon draws the new, first quarter, full or last quarter moon.
func (c *canvas) littleMoon(z float64, at pt, r float64, quarter int, ink rgb) {
	c.fill(z, annulus(at, 0.86*r, r), flat(ink))
	switch quarter {
	case 1:
		c.fill(z, sector(at, 0, r, 0, math.Pi), flat(ink))
	case 2:
		c.fill(z, circle(at, r), flat(ink))
	case 3:
		c.fill(z, sector(at, 0, r, math.Pi, 2*math.Pi), flat(ink))
	}
}

// The arc of the running reserve lies at 9: its hand turns about reserveAt.
func reserveAt(r float64) pt { return pt{-0.27 * r, 0} }

const (
	reserveFrom = 1.5*math.Pi - 0.95 // empty, as a clock angle
	reserveTo   = 1.5*math.Pi + 0.95 // wound up
)

func (c *canvas) reserve(w Watch, z, r float64) {
	at, out := reserveAt(r), 0.29*r
	ink := flat(w.ink())
	c.fill(z, sector(at, out, out+0.012*r, reserveFrom, reserveTo), ink)
	low := reserveFrom + (reserveTo-reserveFrom)/5
	c.fill(z, sector(at, out-0.035*r, out, reserveFrom, low), flat(hex(0xa9302a)))
	const steps = 7
	for i := range steps + 1 {
		a := reserveFrom + (reserveTo-reserveFrom)*float64(i)/steps
		c.fill(z, rect(-0.007*r, -out-0.045*r, 0.007*r, -out).turn(a).move(at), ink)
	}
}

func (c *canvas) reserveHand(w Watch, z, r float64) {
	at := reserveAt(r)
	m := alloyOf(w.Hands.Metal)
	a := reserveFrom + (reserveTo-reserveFrom)*(0.35+float64(w.Seed%7)/12)
	p := polygon(pt{0, -0.27 * r}, pt{0.014 * r, 0.05 * r}, pt{-0.014 * r, 0.05 * r}).turn(a).move(at)
	c.soft(z, p.move(pt{0.12, 0.18}), nil, 0.12, rgb{}, 0.45)
	c.fill(z, p, m.rod(at, polar(1, a), 0.014*r, 0.6, 0.3))
	c.fill(z, circle(at, 0.026*r), m.domed(at, 0, 0.026*r, 0, 0.9, 0.2))
}
