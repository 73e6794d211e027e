package draw

import (
	"image"
	"image/draw"
	"math"
	"runtime"
	"sync"

	"golang.org/x/image/vector"
)

// canvas is the picture in the making: linear light, three float32 a pixel, so that what
// covers a part of a pixel, and what a lens blurs, adds up as light does.
type canvas struct {
	w, h int
	pix  []float32
	cam  camera
	rast vector.Rasterizer
	mask []uint8
	clip []uint8
}

func newCanvas(w, h int, cam camera) *canvas {
	return &canvas{w: w, h: h, pix: make([]float32, 3*w*h), cam: cam}
}

// shader gives the colour and cover at a point in mm.
type shader func(x, y float64) (rgb, float32)

func flat(c rgb) shader { return func(x, y float64) (rgb, float32) { return c, 1 } }

func thin(c rgb, a float32) shader { return func(x, y float64) (rgb, float32) { return c, a } }

// pxPerMM is the scale about the middle, at height z.
func (c *canvas) pxPerMM(z float64) float64 {
	return c.cam.focal / (c.cam.dist - c.cam.relief*z)
}

// box is a half-open rectangle of pixels.
type box struct{ x0, y0, x1, y1 int }

func (b box) empty() bool { return b.x0 >= b.x1 || b.y0 >= b.y1 }

// project carries a path over to pixels and finds its box within the canvas.
func (c *canvas) project(z float64, p path) (path, box) {
	h := c.cam.plane(z)
	minX, minY, maxX, maxY := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	out := p.each(func(q pt) pt {
		x, y := h.Apply(q.X, q.Y)
		minX, maxX = math.Min(minX, x), math.Max(maxX, x)
		minY, maxY = math.Min(minY, y), math.Max(maxY, y)
		return pt{x, y}
	})
	b := box{max(0, int(math.Floor(minX))), max(0, int(math.Floor(minY))),
		min(c.w, int(math.Ceil(maxX))+1), min(c.h, int(math.Ceil(maxY))+1)}
	return out, b
}

// cover rasterises a projected path into 8-bit cover over the box.
func (c *canvas) cover(px path, b box, into []uint8) []uint8 {
	w, h := b.x1-b.x0, b.y1-b.y0
	if cap(into) < w*h {
		into = make([]uint8, w*h)
	}
	into = into[:w*h]
	c.rast.Reset(w, h)
	for _, ring := range px {
		ring = clipRing(ring, float64(b.x0)-1, float64(b.y0)-1, float64(b.x1)+1, float64(b.y1)+1)
		for i, q := range ring {
			x, y := float32(q.X-float64(b.x0)), float32(q.Y-float64(b.y0))
			if i == 0 {
				c.rast.MoveTo(x, y)
			} else {
				c.rast.LineTo(x, y)
			}
		}
		if len(ring) > 0 {
			c.rast.ClosePath()
		}
	}
	dst := &image.Alpha{Pix: into, Stride: w, Rect: image.Rect(0, 0, w, h)}
	c.rast.DrawOp = draw.Src
	c.rast.Draw(dst, dst.Rect, image.Opaque, image.Point{})
	return into
}

// clipRing cuts a ring to a rectangle (Sutherland and Hodgman 1974).
func clipRing(ring []pt, x0, y0, x1, y1 float64) []pt {
	in := true
	for _, q := range ring {
		if q.X < x0 || q.X > x1 || q.Y < y0 || q.Y > y1 {
			in = false
			break
		}
	}
	if in {
		return ring
	}
	for side := range 4 {
		dist := func(q pt) float64 {
			switch side {
			case 0:
				return q.X - x0
			case 1:
				return x1 - q.X
			case 2:
				return q.Y - y0
			}
			return y1 - q.Y
		}
		var out []pt
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			da, db := dist(a), dist(b)
			if da >= 0 {
				out = append(out, a)
			}
			if (da >= 0) != (db >= 0) {
				out = append(out, lerp(a, b, da/(da-db)))
			}
		}
		ring = out
	}
	return ring
}

// fill paints a path lying at height z.
func (c *canvas) fill(z float64, p path, sh shader) { c.fillIn(z, p, nil, sh) }

// fillIn paints a path, cut to the inside of another.
func (c *canvas) fillIn(z float64, p, within path, sh shader) {
	px, b := c.project(z, p)
	if b.empty() {
		return
	}
	c.mask = c.cover(px, b, c.mask)
	if within != nil {
		cut, _ := c.project(z, within)
		c.clip = c.cover(cut, b, c.clip)
		for i, a := range c.clip {
			c.mask[i] = uint8((int(c.mask[i])*int(a) + 127) / 255)
		}
	}
	inv := c.cam.plane(z).Inverse()
	w := b.x1 - b.x0
	c.rows(b, func(y int) {
		row := c.mask[(y-b.y0)*w : (y-b.y0+1)*w]
		for i, a := range row {
			if a == 0 {
				continue
			}
			x, yy := inv.Apply(float64(b.x0+i)+0.5, float64(y)+0.5)
			col, k := sh(x, yy)
			c.blend(3*(y*c.w+b.x0+i), col, k, float32(a)/255)
		}
	})
}

// blend lays a colour over a part of a pixel. How much shows of what lies below is a
// matter of looks, and mixed as encoded; how much of the pixel is covered is a matter of
// light.
func (c *canvas) blend(i int, col rgb, alpha, cover float32) {
	p := c.pix[i : i+3 : i+3]
	for k, v := range col {
		if alpha < 1 {
			below := encode(p[k])
			v = below + (v-below)*alpha
		}
		p[k] += (decode(v) - p[k]) * cover
	}
}

// rows runs f for every row of a box, on all cores where it is worth it.
func (c *canvas) rows(b box, f func(y int)) {
	workers := runtime.GOMAXPROCS(0)
	if workers < 2 || (b.x1-b.x0)*(b.y1-b.y0) < 20000 {
		for y := b.y0; y < b.y1; y++ {
			f(y)
		}
		return
	}
	var wg sync.WaitGroup
	for k := range workers {
		wg.Go(func() {
			for y := b.y0 + k; y < b.y1; y += workers {
				f(y)
			}
		})
	}
	wg.Wait()
}

// soft paints a path with its edge blurred by sigma (mm), cut to within where
// that is not nil: shadows and glows.
func (c *canvas) soft(z float64, p, within path, sigma float64, col rgb, alpha float32) {
	scale := c.pxPerMM(z)
	sp := math.Max(sigma*scale, 0.5)
	shrink := math.Max(1, math.Floor(sp/2.5))
	px, _ := c.project(z, p)
	minX, minY, maxX, maxY := bounds(px)
	m := 3*sp + 2*shrink
	lo := pt{math.Floor(math.Max(minX-m, -4*m)), math.Floor(math.Max(minY-m, -4*m))}
	hi := pt{math.Min(maxX+m, float64(c.w)+4*m), math.Min(maxY+m, float64(c.h)+4*m)}
	w, h := int((hi.X-lo.X)/shrink)+2, int((hi.Y-lo.Y)/shrink)+2
	if w <= 2 || h <= 2 {
		return
	}
	small := px.each(func(q pt) pt { return q.sub(lo).times(1 / shrink) })
	c.mask = c.cover(small, box{0, 0, w, h}, c.mask)
	blur := make([]float32, w*h)
	for i, a := range c.mask {
		blur[i] = float32(a) / 255
	}
	boxBlur3(blur, w, h, sp/shrink)
	b := box{max(0, int(lo.X)), max(0, int(lo.Y)), min(c.w, int(hi.X)), min(c.h, int(hi.Y))}
	var cut []uint8
	if within != nil {
		cp, cb := c.project(z, within)
		b = box{max(b.x0, cb.x0), max(b.y0, cb.y0), min(b.x1, cb.x1), min(b.y1, cb.y1)}
		if b.empty() {
			return
		}
		c.clip = c.cover(cp, b, c.clip)
		cut = c.clip
	}
	if b.empty() {
		return
	}
	cols := columns(b, lo.X, shrink, w)
	c.rows(b, func(y int) {
		j, v := between(y, lo.Y, shrink, h)
		q, r := blur[j*w:(j+1)*w], blur[(j+1)*w:(j+2)*w]
		for x := b.x0; x < b.x1; x++ {
			m := cols[x-b.x0]
			p0, p1, p2, p3 := q[m.i], q[m.i+1], r[m.i], r[m.i+1]
			k := (p0+(p1-p0)*m.u)*(1-v) + (p2+(p3-p2)*m.u)*v
			if k <= 0.002 {
				continue
			}
			if cut != nil {
				k *= float32(cut[(y-b.y0)*(b.x1-b.x0)+x-b.x0]) / 255
			}
			c.blend(3*(y*c.w+x), col, k*alpha, 1)
		}
	})
}

// mix is a place between two values of a coarser row.
type mix struct {
	i int
	u float32
}

// between finds the place of a pixel's middle in the coarser rows.
func between(x int, lo, shrink float64, n int) (int, float32) {
	f := (float64(x)+0.5-lo)/shrink - 0.5
	i := min(max(int(f), 0), n-2)
	return i, float32(clamp01(f - float64(i)))
}

func columns(b box, lo, shrink float64, w int) []mix {
	out := make([]mix, b.x1-b.x0)
	for k := range out {
		out[k].i, out[k].u = between(b.x0+k, lo, shrink, w)
	}
	return out
}

func bounds(p path) (minX, minY, maxX, maxY float64) {
	minX, minY, maxX, maxY = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, ring := range p {
		for _, q := range ring {
			minX, maxX = math.Min(minX, q.X), math.Max(maxX, q.X)
			minY, maxY = math.Min(minY, q.Y), math.Max(maxY, q.Y)
		}
	}
	return
}

// boxBlur3 blurs in place by three running means, close to a Gaussian of sigma px.
func boxBlur3(v []float32, w, h int, sigma float64) {
	r := int(math.Round((math.Sqrt(4*sigma*sigma+1) - 1) / 2))
	if r < 1 {
		r = 1
	}
	line := make([]float32, max(w, h))
	for range 3 {
		for y := range h {
			runMean(v[y*w:], 1, w, r, line)
		}
		for x := range w {
			runMean(v[x:], w, h, r, line)
		}
	}
}

func runMean(v []float32, step, n, r int, line []float32) {
	for i := range n {
		line[i] = v[i*step]
	}
	k := 1 / float32(2*r+1)
	sum := float32(0)
	for i := -r; i <= r; i++ {
		if i >= 0 && i < n {
			sum += line[i]
		}
	}
	for i := range n {
		v[i*step] = sum * k
		if j := i + r + 1; j < n {
			sum += line[j]
		}
		if j := i - r; j >= 0 {
			sum -= line[j]
		}
	}
}
