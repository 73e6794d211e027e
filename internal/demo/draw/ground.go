package draw

import "math"

// ground paints the table.
func (c *canvas) ground(s Shot, usual string, seed uint64) {
	name := s.Background
	if name == "" {
		name = usual
	}
	inv := c.cam.plane(0).Inverse()
	grain := groundShader(name, seed)
	tone := func(x, y int) rgb {
		mx, my := inv.Apply(float64(x)+0.5, float64(y)+0.5)
		u, v := float64(x)/float64(c.w)-0.3, float64(y)/float64(c.h)-0.25
		return grain(mx, my).scale(float32(1.10 - 0.30*math.Sqrt(u*u+v*v)))
	}
	// The grain is no finer than a tenth of a millimetre, so it is reckoned on a
	// coarser net and filled in between.
	step := min(max(int(0.09*c.pxPerMM(0)), 1), 4)
	cols, rows := c.w/step+2, c.h/step+2
	net := make([]rgb, cols*rows)
	c.rows(box{0, 0, step * cols, rows}, func(j int) {
		for i := range cols {
			net[j*cols+i] = tone(i*step, j*step)
		}
	})
	c.rows(box{0, 0, c.w, c.h}, func(y int) {
		j, v := y/step, float32(y%step)/float32(step)
		out := c.pix[3*y*c.w : 3*(y+1)*c.w]
		for x := range c.w {
			i, u := x/step, float32(x%step)/float32(step)
			p, q := net[j*cols+i:j*cols+i+2], net[(j+1)*cols+i:(j+1)*cols+i+2]
			for k := range 3 {
				a, b := p[0][k]+(p[1][k]-p[0][k])*u, q[0][k]+(q[1][k]-q[0][k])*u
				out[3*x+k] = decode(a + (b-a)*v)
			}
		}
	})
}

func groundShader(name string, seed uint64) func(x, y float64) rgb {
	switch name {
	case "linen":
		base := hex(0xc9c3b6)
		return func(x, y float64) rgb {
			warp := streak(x*3.1, seed)*0.5 + 0.5*math.Sin(x*11)
			weft := streak(y*3.1, seed+1)*0.5 + 0.5*math.Sin(y*11)
			return base.add(float32(0.020*warp*smoothNoise(x*2, y*0.2, seed) + 0.020*weft*smoothNoise(x*0.2, y*2,
				seed+3) + 0.02*cloud(x/30, y/30, seed)))
		}
	case "walnut":
		a, b := hex(0x5a3d29), hex(0x3a2518)
		return func(x, y float64) rgb {
			ring := y/5.5 + 2.2*smoothNoise(x/45, y/12, seed) + 0.25*smoothNoise(x/5, y/1.2, seed+1)
			t := 0.5 + 0.5*math.Sin(2*math.Pi*ring*0.6)
			pore := smoothstep(0.55, 0.9, smoothNoise(x/4, y*5, seed+2))
			return a.mix(b, float32(0.75*t)).scale(float32(1 - 0.25*pore + 0.05*smoothNoise(x*1.5, y*6, seed+4)))
		}
	case "paper":
		base := hex(0xece8df)
		return func(x, y float64) rgb {
			return base.add(float32(0.008*cloud(x*1.5, y*1.5, seed) + 0.006*cloud(x/25, y/25, seed+2)))
		}
	case "slate":
		a := hex(0x4b5055)
		return func(x, y float64) rgb {
			return a.add(float32(0.022*cloud(x/9, y/14, seed) + 0.014*cloud(x*1.7, y*1.7, seed+1)))
		}
	}
	base := colourOf(name)
	return func(x, y float64) rgb { return base.add(float32(0.006 * cloud(x, y, seed))) }
}

// Patch is a grey patch of the printed target.
type Patch struct {
	At       [2]float64 // px
	RadiusPx float64
	Lab      Lab
}

var greyLevels = []float64{25, 38, 50, 63, 76, 89}

// targetPatch gives the middle and half side, in mm, of one grey patch.
func targetPatch(side float64, i int) (pt, float64) {
	h := side / 2
	x := -h + side*(0.045+0.09*float64(i))
	if i >= 3 { // the other three at the right, so that a band covers none
		x = h - side*(0.045+0.09*float64(5-i))
	}
	return pt{x, h + side*0.066}, side * 0.032
}

// target paints the printed square: a sheet of paper, a black frame whose outer
// corners are the corners of the square, ticks every 5 mm and grey patches.
func (c *canvas) target(side float64, seed uint64) {
	h, m := side/2, side*0.12
	sheet := rect(-h-m, -h-m, h+m, h+m*1.1)
	c.soft(0, sheet.move(pt{0.6, 0.9}), nil, 1.0, rgb{}, 0.5)
	c.fill(0, sheet, func(x, y float64) (rgb, float32) {
		return hex(0xf3f1ec).add(float32(0.006 * cloud(x*1.2, y*1.2, seed))), 1
	})
	ink := flat(hex(0x1c1b1b))
	t := side * 0.016
	frame := rect(-h, -h, h, h)
	frame = append(frame, []pt{{-h + t, -h + t}, {-h + t, h - t}, {h - t, h - t}, {h - t, -h + t}})
	c.fill(0, frame, ink)
	for i := range 4 {
		corner := rect(-h, -h, -h+4*t, -h+4*t).turn(float64(i) * math.Pi / 2)
		c.fill(0, corner, ink)
	}
	for v := 5.0; v < side-1; v += 5 {
		long := 0.9
		if math.Mod(v, 10) == 0 {
			long = 1.7
		}
		tick := rect(-h+v-0.1, -h-long, -h+v+0.1, -h)
		for i := range 4 {
			c.fill(0, tick.turn(float64(i)*math.Pi/2), ink)
		}
	}
	for i, l := range greyLevels {
		at, half := targetPatch(side, i)
		c.fill(0, rect(at.X-half, at.Y-half, at.X+half, at.Y+half), flat(labToRGB(Lab{l, 0, 0})))
	}
	c.fill(0, text(sans, trimNumber(side)+" mm", side*0.022, 0.1).move(pt{h * 0.72, -h - m*0.55}), ink)
}

func trimNumber(v float64) string {
	n := int(math.Round(v * 10))
	if n%10 == 0 {
		return itoa(n / 10)
	}
	return itoa(n/10) + "." + itoa(n%10)
}

func itoa(n int) string {
	if n < 0 {
		return "-" + itoa(-n)
	}
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + string(rune('0'+n%10))
}
