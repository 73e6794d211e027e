package photo

import (
	"math"
	"slices"
)

// foundPlot is a luminous plot by place.
type foundPlot struct {
	hour   int
	at     Point // frame
	radius float64
	lab    Lab
}

// The net on which plots are looked for, in frame coordinates.
const (
	netStep  = 0.008
	netInner = 0.42
	netOuter = 0.99
	netHalf  = 0.168
	netCols  = 42 // 2·netHalf / netStep
	netRows  = 71 // (netOuter − netInner) / netStep
)

// findPlots looks at each hour for flat patches that differ from the dial, and takes
// the family of patches that most hours share: one colour, one distance from the
// middle, one size.
func (l light) findPlots(f dialFrame) []foundPlot {
	nets := make([]net, 12)
	var all []Lab
	for i := range nets {
		nets[i] = l.newNet(f, i+1)
		all = append(all, nets[i].lab...)
	}
	ground := medianLab(all)
	var blobs []foundPlot
	for i := range nets {
		blobs = append(blobs, nets[i].patches(ground)...)
	}
	best, score := -1, 0.0
	for i, b := range blobs {
		s := 0.0
		for h := 1; h <= 12; h++ {
			if _, q := bestOf(blobs, h, b); q > 0 {
				s += q
			}
		}
		if s > score {
			best, score = i, s
		}
	}
	if best < 0 {
		return nil
	}
	var out []foundPlot
	for h := 1; h <= 12; h++ {
		if k, q := bestOf(blobs, h, blobs[best]); q > 0 {
			out = append(out, blobs[k])
		}
	}
	if !likeLume(out) {
		return nil
	}
	return out
}

// likeLume reports whether patches are luminous plots rather than what else stands at the
// hours: plots are of one mass, so that most are alike, while applied markers catch the light
// each in its own way; few plots must be the more alike. Dark and plain grey patches are print and metal.
func likeLume(found []foundPlot) bool {
	var labs []Lab
	for _, p := range found {
		labs = append(labs, p.lab)
	}
	n := len(labs)
	if n < 3 {
		return false
	}
	m := medianLab(labs)
	var off []float64
	for _, c := range labs {
		off = append(off, CIEDE2000(c, m))
	}
	if m[0] < 30 || m.Chroma() < 4 && m[0] < 70 {
		return false
	}
	half := median(off)
	switch {
	case n >= 10:
		return half < 5
	case n >= 6:
		return half < 2.5
	}
	return half < 1 && slices.Max(off) < 2.5
}

// bestOf is the patch of an hour most like a pattern, and how like it is, 0 to 1.
func bestOf(blobs []foundPlot, hour int, like foundPlot) (int, float64) {
	best, score := -1, 0.0
	for i, b := range blobs {
		if b.hour != hour {
			continue
		}
		d := labDistance(b.lab, like.lab)
		r := math.Abs(b.at.length() - like.at.length())
		off := math.Abs(b.at.unit().cross(hourPoint(hour, 1))) * b.at.length()
		size := math.Abs(math.Log(b.radius / like.radius))
		if d > 22 || r > 0.09 || off > 0.1 || size > 1.1 {
			continue
		}
		s := math.Exp(-d*d/200-r*r/0.004-off*off/0.004-size*size/0.8) * math.Sqrt(b.radius)
		if s > score {
			best, score = i, s
		}
	}
	return best, score
}

// net is the picture about one hour, upright.
type net struct {
	hour       int
	cols, rows int
	lab        []Lab
	frame      dialFrame
}

func (l light) newNet(f dialFrame, hour int) net {
	n := net{hour: hour, cols: netCols, rows: netRows, frame: f}
	n.lab = make([]Lab, n.cols*n.rows)
	for j := range n.rows {
		for i := range n.cols {
			n.lab[j*n.cols+i] = l.linearAt(f.toPx.Apply(n.point(float64(i), float64(j)))).Lab()
		}
	}
	return n
}

// point is the frame coordinate of a net place.
func (n net) point(i, j float64) Point {
	out := hourPoint(n.hour, 1)
	r := netOuter - netStep*(j+0.5)
	t := netStep*(i+0.5) - netHalf
	return out.times(r).add(Point{-out[1], out[0]}.times(t))
}

// patches are the flat regions that differ from the ground, with the largest circle
// that fits into each.
func (n net) patches(ground Lab) []foundPlot {
	flat := make([]bool, len(n.lab))
	for j := 1; j < n.rows-1; j++ {
		for i := 1; i < n.cols-1; i++ {
			k := j*n.cols + i
			c := n.lab[k]
			if labDistance(c, ground) < 9 {
				continue
			}
			step := max(labDistance(c, n.lab[k-1]), labDistance(c, n.lab[k+1]), labDistance(c, n.lab[k-n.cols]),
				labDistance(c, n.lab[k+n.cols]))
			flat[k] = step < 7
		}
	}
	depth := n.depths(flat)
	seen := make([]bool, len(flat))
	var out []foundPlot
	for k := range flat {
		if !flat[k] || seen[k] {
			continue
		}
		if p, ok := n.patch(k, flat, seen, depth); ok {
			out = append(out, p)
		}
	}
	return out
}

// depths is how many steps each flat place lies inside its patch (city-block distance).
func (n net) depths(flat []bool) []int {
	d := make([]int, len(flat))
	for j := 1; j < n.rows-1; j++ {
		for i := 1; i < n.cols-1; i++ {
			if k := j*n.cols + i; flat[k] {
				d[k] = min(d[k-1], d[k-n.cols]) + 1
			}
		}
	}
	for j := n.rows - 2; j > 0; j-- {
		for i := n.cols - 2; i > 0; i-- {
			if k := j*n.cols + i; flat[k] {
				d[k] = min(d[k], d[k+1]+1, d[k+n.cols]+1)
			}
		}
	}
	return d
}

// patch gathers the region of place k.
func (n net) patch(k int, flat, seen []bool, depth []int) (foundPlot, bool) {
	queue := []int{k}
	seen[k] = true
	deepest := 0
	var members []int
	for len(queue) > 0 {
		q := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		members = append(members, q)
		deepest = max(deepest, depth[q])
		for _, m := range [4]int{q - 1, q + 1, q - n.cols, q + n.cols} {
			if flat[m] && !seen[m] && labDistance(n.lab[m], n.lab[q]) < 7 {
				seen[m] = true
				queue = append(queue, m)
			}
		}
	}
	if deepest < 2 || len(members) < 8 || len(members) > len(n.lab)/3 {
		return foundPlot{}, false
	}
	var ci, cj, c float64
	var labs []Lab
	for _, m := range members { // the middle of the deepest places
		if depth[m] >= deepest-1 {
			ci, cj, c = ci+float64(m%n.cols), cj+float64(m/n.cols), c+1
			labs = append(labs, n.lab[m])
		}
	}
	return foundPlot{hour: n.hour, at: n.point(ci/c, cj/c), radius: netStep * (float64(deepest) + 0.5),
		lab: medianLab(labs)}, true
}

func labDistance(p, q Lab) float64 {
	return math.Sqrt((p[0]-q[0])*(p[0]-q[0]) + (p[1]-q[1])*(p[1]-q[1]) + (p[2]-q[2])*(p[2]-q[2]))
}

// medianLab is the median of each coordinate.
func medianLab(v []Lab) (m Lab) {
	one := make([]float64, len(v))
	for k := range m {
		for i, c := range v {
			one[i] = c[k]
		}
		m[k] = median(one)
	}
	return m
}
