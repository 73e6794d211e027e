package photo

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"image"
	"math"
	"slices"
	"sync"
)

// lookSide is how many fields a picture is cut into each way for its look.
const lookSide = 6

// lookSize is the length of a look: lightness, a and b and the strength of edges of each field, lightness and its
// spread on rings about the middle, and the shape of the picture.
const lookSize = 4*lookSide*lookSide + 2*lookSide + 1

// Look is a short description of a picture by which views are told apart: numbers about 0 to 1.
type Look []float64

// lookPx is the longer side that a picture is reduced to for its look.
const lookPx = 96

// LookOf describes a picture; nil stands for one without pixels.
func LookOf(img image.Image) Look {
	l, err := newLight(img)
	if err != nil {
		return nil
	}
	var lab [lookPx * lookPx]Lab
	for y := range lookPx {
		for x := range lookPx {
			lab[y*lookPx+x] = l.meanOver(x*l.w/lookPx, y*l.h/lookPx, (x+1)*l.w/lookPx, (y+1)*l.h/lookPx).Lab()
		}
	}
	out := make(Look, 0, lookSize)
	out = append(out, fields(&lab)...)
	out = append(out, rings(&lab)...)
	return append(out, math.Log(float64(l.w)/float64(l.h)))
}

// meanOver is the mean light of a field, sampled at four places a side at most.
func (l light) meanOver(x0, y0, x1, y1 int) Linear {
	x1, y1 = max(x1, x0+1), max(y1, y0+1)
	var sum Linear
	n := 0.0
	for y := y0; y < y1; y += max(1, (y1-y0)/4) {
		for x := x0; x < x1; x += max(1, (x1-x0)/4) {
			c := l.linear(x, y)
			for k := range sum {
				sum[k] += c[k]
			}
			n++
		}
	}
	for k := range sum {
		sum[k] /= n
	}
	return sum
}

// fields are the mean colour and the strength of edges of each field.
func fields(lab *[lookPx * lookPx]Lab) []float64 {
	const n = lookPx / lookSide
	var out []float64
	for fy := range lookSide {
		for fx := range lookSide {
			var mean [3]float64
			edges := 0.0
			for y := fy * n; y < (fy+1)*n; y++ {
				for x := fx * n; x < (fx+1)*n; x++ {
					c := lab[y*lookPx+x]
					for k := range mean {
						mean[k] += c[k] / (n * n)
					}
					right, below := lab[y*lookPx+min(x+1, lookPx-1)], lab[min(y+1, lookPx-1)*lookPx+x]
					edges += math.Hypot(right[0]-c[0], below[0]-c[0]) / (n * n)
				}
			}
			out = append(out, mean[0]/100, mean[1]/60, mean[2]/60, math.Sqrt(edges)/5)
		}
	}
	return out
}

// rings are lightness and its spread on rings about the middle: round things are even along them.
func rings(lab *[lookPx * lookPx]Lab) []float64 {
	var sum, square, n [lookSide]float64
	for y := range lookPx {
		for x := range lookPx {
			r := math.Hypot(float64(x)-lookPx/2+0.5, float64(y)-lookPx/2+0.5) / (lookPx / 2)
			k := int(r * lookSide)
			if k >= lookSide {
				continue
			}
			l := lab[y*lookPx+x][0] / 100
			sum[k], square[k], n[k] = sum[k]+l, square[k]+l*l, n[k]+1
		}
	}
	var out []float64
	for k := range n {
		mean := sum[k] / n[k]
		out = append(out, mean, 2*math.Sqrt(max(0, square[k]/n[k]-mean*mean)))
	}
	return out
}

// ViewModel tells by its look which side of a watch a picture shows: a multinomial logistic regression with a penalty,
// after centring and scaling (Hastie, Tibshirani and Friedman, The Elements of Statistical Learning, 2nd ed. 2009,
// sections 4.4 and 18.3.2).
type ViewModel struct {
	Names  []string    `json:"views"`
	Mean   []float64   `json:"mean"`
	Scale  []float64   `json:"scale"`
	Weight [][]float64 `json:"weight"` // a row a view: lookSize weights and a constant
}

// LearnViews learns from pictures whose view is known. It needs two views with two pictures each; ok is false where
// there are fewer.
func LearnViews(looks []Look, views []string) (v *ViewModel, ok bool) {
	count := map[string]int{}
	for _, name := range views {
		count[name]++
	}
	var names []string
	for name, n := range count {
		if n >= 2 {
			names = append(names, name)
		}
	}
	if len(names) < 2 {
		return nil, false
	}
	slices.Sort(names)
	v = &ViewModel{Names: names}
	var x [][]float64
	var class []int
	for i, l := range looks {
		if k, known := slices.BinarySearch(names, views[i]); known && len(l) == lookSize {
			x, class = append(x, l), append(class, k)
		}
	}
	v.scale(x)
	for i := range x {
		x[i] = v.scaled(x[i])
	}
	v.fit(x, class)
	return v, true
}

func (v *ViewModel) scale(x [][]float64) {
	v.Mean, v.Scale = make([]float64, lookSize), make([]float64, lookSize)
	for j := range lookSize {
		var s, q float64
		for _, row := range x {
			s, q = s+row[j], q+row[j]*row[j]
		}
		n := float64(len(x))
		v.Mean[j] = round4(s / n)
		v.Scale[j] = round4(max(0.02, math.Sqrt(max(0, q/n-s*s/n/n))))
	}
}

// round4 keeps the model that is shipped small.
func round4(f float64) float64 { return math.Round(f*1e4) / 1e4 }

func (v *ViewModel) scaled(l Look) []float64 {
	out := make([]float64, lookSize)
	for j := range out {
		out[j] = min(4, max(-4, (l[j]-v.Mean[j])/v.Scale[j]))
	}
	return out
}

// How the weights are found: descent along the gradient with momentum, of the mean loss with a quadratic penalty.
const (
	viewSteps    = 300
	viewRate     = 0.1
	viewMomentum = 0.9
	viewPenalty  = 0.02
)

func (v *ViewModel) fit(x [][]float64, class []int) {
	k := len(v.Names)
	v.Weight = make([][]float64, k)
	speed := make([][]float64, k)
	for c := range k {
		v.Weight[c], speed[c] = make([]float64, lookSize+1), make([]float64, lookSize+1)
	}
	size := make([]float64, k) // each view counts the same, however many pictures it has
	for _, c := range class {
		size[c]++
	}
	for range viewSteps {
		gradient := make([][]float64, k)
		for c := range k {
			gradient[c] = make([]float64, lookSize+1)
			for j := range lookSize {
				gradient[c][j] = viewPenalty * v.Weight[c][j]
			}
		}
		for i, row := range x {
			p := v.chances(row)
			p[class[i]]--
			for c := range k {
				g := p[c] / (size[class[i]] * float64(k))
				for j, f := range row {
					gradient[c][j] += g * f
				}
				gradient[c][lookSize] += g
			}
		}
		for c := range k {
			for j := range gradient[c] {
				speed[c][j] = viewMomentum*speed[c][j] - viewRate*gradient[c][j]
				v.Weight[c][j] += speed[c][j]
			}
		}
	}
	for c := range k {
		for j := range v.Weight[c] {
			v.Weight[c][j] = round4(v.Weight[c][j])
		}
	}
}

func (v *ViewModel) chances(scaled []float64) []float64 {
	out := make([]float64, len(v.Names))
	top := math.Inf(-1)
	for c, w := range v.Weight {
		out[c] = w[lookSize]
		for j, f := range scaled {
			out[c] += w[j] * f
		}
		top = max(top, out[c])
	}
	sum := 0.0
	for c := range out {
		out[c] = math.Exp(out[c] - top)
		sum += out[c]
	}
	for c := range out {
		out[c] /= sum
	}
	return out
}

// Of is the view that a picture most likely shows, with how sure that is. A picture unlike those learned from is less
// sure, however clear it is between the views.
func (v *ViewModel) Of(l Look) (view string, sure float64) {
	if len(l) != lookSize {
		return "", 0
	}
	x := v.scaled(l)
	p := v.chances(x)
	best, far := 0, 0.0
	for c := range p {
		if p[c] > p[best] {
			best = c
		}
	}
	for _, f := range x {
		far += f * f / lookSize
	}
	even := 1 / float64(len(p))
	familiar := math.Exp(-max(0, far-1.5) / 2)
	return v.Names[best], min(0.97, even+(p[best]-even)*familiar)
}

//go:embed views.json
var viewsJSON []byte

// DrawnViews is the model that was learned from the pictures of the invented shop: front, dial, back, bracelet,
// movement and papers. It serves until a shop has sorted pictures of its own. Callers do not change it.
var DrawnViews = sync.OnceValue(func() *ViewModel {
	v := &ViewModel{}
	if err := json.Unmarshal(viewsJSON, v); err != nil {
		panic(fmt.Sprintf("photo: views.json: %v", err)) // a file of the program's own, held by a test
	}
	return v
})
