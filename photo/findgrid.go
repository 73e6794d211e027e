package photo

import "math"

// grid is a small picture of a part of the large one, on which things are looked for.
// Cell (i, j) has its middle at (i+½, j+½); toPx carries those coordinates to px.
type grid struct {
	w, h  int
	toPx  Homography
	round float64   // the least ratio of axes of what may be a circle
	luma  []float32 // encoded lightness, 0 to 1
	lab   []Lab     // only where colour was asked for
}

// newGrid reads the picture on a net, each cell from a few pixels.
func (l light) newGrid(toPx Homography, w, h int, colour bool) grid {
	g := grid{w: w, h: h, toPx: toPx, luma: make([]float32, w*h)}
	if colour {
		g.lab = make([]Lab, w*h)
	}
	j := toPx.jacobian(Point{float64(w) / 2, float64(h) / 2})
	fine := math.Sqrt(math.Abs(j[0]*j[3] - j[1]*j[2]))
	k := min(max(int(math.Ceil(fine-0.3)), 1), 2)
	per := 1 / float64(k*k)
	for y := range h {
		for x := range w {
			var c Linear
			luma := 0.0
			for b := range k {
				for a := range k {
					u, v := (float64(a)+0.5)/float64(k), (float64(b)+0.5)/float64(k)
					p := toPx.Apply(Point{float64(x) + u, float64(y) + v})
					e := l.encoded(int(math.Floor(p[0])), int(math.Floor(p[1])))
					luma += per * (0.2126*e[0] + 0.7152*e[1] + 0.0722*e[2])
					if colour {
						for i := range c {
							c[i] += per * decodeFast(e[i])
						}
					}
				}
			}
			g.luma[y*w+x] = float32(luma)
			if colour {
				g.lab[y*w+x] = c.Lab()
			}
		}
	}
	return g
}

// smoothed is the grid with its lightness blurred by a binomial of three cells.
func (g grid) smoothed() grid {
	tmp, out := make([]float32, len(g.luma)), make([]float32, len(g.luma))
	for y := range g.h {
		row := g.luma[y*g.w : (y+1)*g.w]
		for x := range row {
			tmp[y*g.w+x] = (row[max(x-1, 0)] + 2*row[x] + row[min(x+1, g.w-1)]) / 4
		}
	}
	for y := range g.h {
		up, down := max(y-1, 0)*g.w, min(y+1, g.h-1)*g.w
		for x := range g.w {
			out[y*g.w+x] = (tmp[up+x] + 2*tmp[y*g.w+x] + tmp[down+x]) / 4
		}
	}
	g.luma = out
	return g
}

// slope is the gradient of lightness per cell.
func (g grid) slope(x, y int) (dx, dy float64) {
	if x < 1 || y < 1 || x >= g.w-1 || y >= g.h-1 {
		return 0, 0
	}
	k := y*g.w + x
	return float64(g.luma[k+1]-g.luma[k-1]) / 2, float64(g.luma[k+g.w]-g.luma[k-g.w]) / 2
}

// at is lightness between cells; the border repeats.
func (g grid) at(p Point) float64 {
	x := min(max(p[0]-0.5, 0), float64(g.w)-1.001)
	y := min(max(p[1]-0.5, 0), float64(g.h)-1.001)
	i, j := int(x), int(y)
	u, v := float32(x-float64(i)), float32(y-float64(j))
	q := g.luma[j*g.w+i:]
	r := g.luma[min(j+1, g.h-1)*g.w+i:]
	a, b := q[min(1, len(q)-1)], r[min(1, len(r)-1)]
	return float64((q[0]*(1-u)+a*u)*(1-v) + (r[0]*(1-u)+b*u)*v)
}

// colourAt is the colour of the nearest cell.
func (g grid) colourAt(p Point) Lab {
	x := min(max(int(p[0]), 0), g.w-1)
	y := min(max(int(p[1]), 0), g.h-1)
	return g.lab[y*g.w+x]
}

func (g grid) holds(p Point) bool {
	return p[0] >= 0 && p[1] >= 0 && p[0] < float64(g.w) && p[1] < float64(g.h)
}

// wholeGrid is the whole picture with at most side cells along its longer side.
func (l light) wholeGrid(side int, colour bool) grid {
	k := max(1, float64(max(l.w, l.h))/float64(side))
	w, h := max(1, int(float64(l.w)/k)), max(1, int(float64(l.h)/k))
	return l.newGrid(Homography{k, 0, 0, 0, k, 0, 0, 0, 1}, w, h, colour)
}
