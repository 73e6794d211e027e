package photo

import (
	"math"
	"slices"
)

// swatch is the colour of the inside of a spot.
type swatch struct {
	colour  Linear
	lab     Lab
	se      float64 // of the colour, ΔE
	clipped float64 // share of pixels at the white end of the picture
	kept    float64 // share of pixels that went into the colour
	n       int
}

const (
	clipAt     = 0.985 // of the encoded scale
	maxSamples = 1600
)

// sampleDisc reads the inner part of a disc: pixels at the white end, highlights and
// whatever covers a minor part are left out.
func (l light) sampleDisc(at Point, radius float64) swatch {
	step := max(1, int(math.Ceil(radius*math.Sqrt(math.Pi/maxSamples))))
	var px []Linear
	var quarter []int
	clipped, n := 0, 0
	x0, y0 := int(math.Floor(at[0]-radius)), int(math.Floor(at[1]-radius))
	x1, y1 := int(math.Ceil(at[0]+radius)), int(math.Ceil(at[1]+radius))
	for y := max(y0, 0); y <= min(y1, l.h-1); y += step {
		for x := max(x0, 0); x <= min(x1, l.w-1); x += step {
			if math.Hypot(float64(x)+0.5-at[0], float64(y)+0.5-at[1]) > radius {
				continue
			}
			n++
			c := l.encoded(x, y)
			if max(c[0], c[1], c[2]) >= clipAt {
				clipped++
			}
			px = append(px, Linear{decodeFast(c[0]), decodeFast(c[1]), decodeFast(c[2])})
			q := 0
			if float64(x)+0.5 > at[0] {
				q++
			}
			if float64(y)+0.5 > at[1] {
				q += 2
			}
			quarter = append(quarter, q)
		}
	}
	if n == 0 {
		return swatch{}
	}
	s := robustColour(px, quarter)
	s.clipped, s.n = float64(clipped)/float64(n), n
	return s
}

// minGrain is the grain in L*, a* and b* that any picture may have: JPEG stores colour in
// coarse blocks, and leaving some of them out would tint the rest.
var minGrain = Lab{0.8, 2.2, 2.2}

// robustColour is the mean of the pixels of the main colour: those within three
// scales of the median in L*, a* and b*, found again and again.
func robustColour(px []Linear, quarter []int) swatch {
	labs := make([]Lab, len(px))
	for i, c := range px {
		labs[i] = c.Lab()
	}
	keep := make([]bool, len(px))
	for i := range keep {
		keep[i] = true
	}
	for round := range 4 {
		var m, s Lab
		for k := range 3 {
			var v []float64
			for i, q := range labs {
				if keep[i] {
					v = append(v, q[k])
				}
			}
			slices.Sort(v)
			m[k] = v[len(v)/2]
			s[k] = max(madScale(v, m[k]), minGrain[k])
			if round == 0 && k == 0 {
				m[k] = shorth(v)
				s[k] = max(min(s[k], halfWidth(v)), minGrain[k])
			}
		}
		for i, q := range labs {
			keep[i] = math.Abs(q[0]-m[0]) <= 3*s[0] && math.Abs(q[1]-m[1]) <= 3.5*s[1] &&
				math.Abs(q[2]-m[2]) <= 3.5*s[2]
		}
		if !slices.Contains(keep, true) {
			for i := range keep {
				keep[i] = true
			}
			break
		}
	}
	return meanOf(px, keep, quarter)
}

// meanOf is the mean of the kept pixels. Its error is told by how far the four quarters
// of the spot differ: noise and grain average out over them, while the coarse colour
// blocks of a JPEG, shadows and damage do not.
func meanOf(px []Linear, keep []bool, quarter []int) swatch {
	var sum Linear
	var part [4]Linear
	var count [4]float64
	n := 0.0
	for i, c := range px {
		if !keep[i] {
			continue
		}
		n++
		count[quarter[i]]++
		for k := range sum {
			sum[k] += c[k]
			part[quarter[i]][k] += c[k]
		}
	}
	for k := range sum {
		sum[k] /= n
	}
	out := swatch{colour: sum, lab: sum.Lab(), kept: n / float64(len(px))}
	ss, used := 0.0, 0.0
	for q, c := range count {
		if c < n/16 {
			continue
		}
		mean := Linear{part[q][0] / c, part[q][1] / c, part[q][2] / c}
		d := CIEDE2000(mean.Lab(), out.lab)
		ss, used = ss+d*d, used+1
	}
	if used < 2 {
		out.se = 2
		return out
	}
	out.se = math.Hypot(0.15, math.Sqrt(ss/used/(used-1)))
	return out
}

// shorth is the middle of the shortest half of sorted values: the main colour even
// where a hand covers nearly half.
func shorth(v []float64) float64 {
	i, h := shortestHalf(v)
	return (v[i] + v[i+h]) / 2
}

// halfWidth is a scale from the shortest half, for normal values the standard
// deviation.
func halfWidth(v []float64) float64 {
	i, h := shortestHalf(v)
	return (v[i+h] - v[i]) / 1.349
}

func shortestHalf(v []float64) (at, h int) {
	h = len(v) / 2
	for i := range len(v) - h {
		if v[i+h]-v[i] < v[at+h]-v[at] {
			at = i
		}
	}
	return at, h
}
