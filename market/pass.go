package market

import (
	"math"
	"midcase/market/algebra"
	"sync"
)

// sums is what one pass over the data collects.
type sums struct {
	raw   []float64 // gradient by raw column
	slope [slopeCount]float64
	node  []float64 // gradient by leaf
	cell  []float64 // information on each cell alone
	// information by raw column and slope, upper triangle, the cells' columns left out; nil when not asked for
	info      []float64
	scaleRef  []float64 // score and information of log scales
	scaleRefN []float64
	scaleCls  []float64
	scaleClsN []float64
	hist      [histBins]float64
	wild      float64
	weight    []float64 // of leaves
	cross     []rawCross

	at  []int32 // what cross is cut from
	val []float64
}

// rawCross is what a leaf shares with the raw columns and slopes.
type rawCross struct {
	leaf  int32
	at    []int32
	val   []float64
	slope [slopeCount]float64
}

// Histogram of squared standardised residuals: 16 bins an octave, from the bits of
// the number itself.
const (
	histShift = 48
	histLow   = (1023 - 22) << 4
	histBins  = 46 << 4
)

func histBin(q float64) int {
	b := int(math.Float64bits(q+0x1p-22)>>histShift) - histLow
	return min(b, histBins-1)
}

// histMid is the middle of a bin.
func histMid(b int) float64 {
	low := math.Float64frombits(uint64(b+histLow) << histShift)
	high := math.Float64frombits(uint64(b+histLow+1) << histShift)
	return (low+high)/2 - 0x1p-22
}

// wildDensity is the density of the log residual of a mistaken price: even over
// factors up to e⁷ either way.
const wildDensity = 1.0 / 14

// pass reads all sales once and collects the gradient, and the information where
// wanted. Lanes are worked on in any order and added up in a fixed one.
func (f *fitter) pass(info bool) {
	eff := f.effects(f.b, f.raw)
	slopes := [slopeCount]float64(f.b[f.layout.slope:])
	table := f.densityTable()
	if f.parts == nil {
		f.parts = make([]*sums, len(f.lanes))
		for k := range f.parts {
			f.parts[k] = f.newSums()
		}
	}
	next := make(chan int, len(f.lanes))
	for k := range f.lanes {
		next <- k
	}
	close(next)
	var wg sync.WaitGroup
	for w := 0; w < min(f.workers, len(f.lanes)); w++ {
		wg.Go(func() {
			for k := range next {
				f.lane(f.parts[k], f.lanes[k], eff, slopes, table, info)
			}
		})
	}
	wg.Wait()
	f.grad = f.reduce(info)
}

// densityTable is the t density by bin of the squared standardised residual.
func (f *fitter) densityTable() *[histBins]float64 {
	var out [histBins]float64
	c := logT(f.dof)
	for b := range out {
		out[b] = math.Exp(c - (f.dof+1)/2*math.Log1p(histMid(b)/f.dof))
	}
	return &out
}

// logT is the logarithm of the constant of the t density.
func logT(dof float64) float64 {
	a, _ := math.Lgamma((dof + 1) / 2)
	b, _ := math.Lgamma(dof / 2)
	return a - b - 0.5*math.Log(dof*math.Pi)
}

func (f *fitter) newSums() *sums {
	nodes, q, cells := len(f.theta), f.raw+slopeCount, f.featLen[featCell]
	return &sums{raw: make([]float64, f.raw), node: make([]float64, nodes), scaleRef: make([]float64, nodes),
		scaleRefN: make([]float64, nodes),
		scaleCls:  make([]float64, len(f.class)), scaleClsN: make([]float64, len(f.class)),
		weight: make([]float64, nodes),
		cell:   make([]float64, cells), info: make([]float64, q*(q-cells))}
}

// reset makes the sums of the last pass ready for the next one. Without information
// its own stay as they are: nobody reads them.
func (s *sums) reset(info bool) {
	clear(s.raw)
	clear(s.slope[:])
	clear(s.node)
	clear(s.scaleRef)
	clear(s.scaleRefN)
	clear(s.scaleCls)
	clear(s.scaleClsN)
	clear(s.hist[:])
	s.wild = 0
	if !info {
		return
	}
	clear(s.weight)
	clear(s.cell)
	clear(s.info)
	s.cross, s.at, s.val = s.cross[:0], s.at[:0], s.val[:0]
}

func (f *fitter) lane(s *sums, rows [2]int, eff []float64, slopes [slopeCount]float64, density *[histBins]float64,
	info bool) {
	s.reset(info)
	var dense []float64
	if info {
		dense = make([]float64, f.raw)
	}
	invClass := make([]float64, len(f.class))
	for c := range invClass {
		invClass[c] = math.Exp(-f.class[c])
	}
	for i := rows[0]; i < rows[1]; {
		leaf := f.obs[i].leaf
		j := i + 1
		for j < rows[1] && f.obs[j].leaf == leaf {
			j++
		}
		f.leafPass(s, f.obs[i:j], eff, slopes, density, invClass, dense)
		i = j
	}
}

// leafPass adds the sales of one leaf.
func (f *fitter) leafPass(s *sums, rows []obs, eff []float64, slopes [slopeCount]float64, density *[histBins]float64,
	invClass, dense []float64) {
	leaf, ref := rows[0].leaf, f.ref[rows[0].leaf]
	theta, inv := f.theta[leaf], math.Exp(-f.logScale[ref])
	free := 1 - f.hat[leaf]
	// Residuals of thin references say little of the tails.
	shape, nu := free*free*free, f.dof
	odds := (nu + 3) * f.hat[leaf] / free
	kappa := (nu + 1) / (nu + 3) * (1 - f.wild)
	wild := f.wild * wildDensity / (1 - f.wild)
	var node, scale, scaleN, weight float64
	var cross rawCross
	for i := range rows {
		o := &rows[i]
		c, c2, orig, year := o.slopes()
		u := o.y - theta - slopes[slopeCondition]*c - slopes[slopeCurve]*c2 -
			slopes[slopeOriginality]*orig - slopes[slopeYear]*year
		for _, k := range o.idx {
			u -= eff[k]
		}
		is := inv * invClass[o.class]
		z := u * is
		zz := z * z
		mistake := wild / (wild + density[histBin(zz)]*is)
		fair := 1 - mistake
		g := fair * (nu + 1) / (nu + zz) * z * is
		node += g
		for _, k := range o.idx {
			s.raw[k] += g
		}
		s.slope[slopeCondition] += g * c
		s.slope[slopeCurve] += g * c2
		s.slope[slopeOriginality] += g * orig
		s.slope[slopeYear] += g * year
		// A sale near the middle has more weight than the average one, and so more
		// leverage.
		zr := zz * (1 + odds/(nu+zz))
		sc := free * fair * ((nu+1)*zr/(nu+zr) - 1)
		sn := free * fair
		scale, scaleN = scale+sc, scaleN+sn
		s.scaleCls[o.class] += sc
		s.scaleClsN[o.class] += sn
		s.hist[histBin(zr)] += sn * shape
		s.wild += mistake
		if dense != nil {
			k := kappa * is * is
			weight += k
			s.cell[o.idx[featCell]] += k
			addInfo(s.info, len(s.cell), f.raw, o, k, c, c2, orig, year, dense, &cross.slope)
		}
	}
	s.node[leaf] += node
	s.scaleRef[ref] += scale
	s.scaleRefN[ref] += scaleN
	if dense != nil {
		s.weight[leaf] += weight
		cross.leaf = leaf
		s.takeCross(cross, dense)
	}
}

// takeCross keeps what a leaf shares with β, which it takes out of its dense form.
func (s *sums) takeCross(cross rawCross, dense []float64) {
	from := len(s.at)
	for k, v := range dense {
		if v != 0 {
			s.at, s.val = append(s.at, int32(k)), append(s.val, v)
			dense[k] = 0
		}
	}
	cross.at, cross.val = s.at[from:len(s.at):len(s.at)], s.val[from:len(s.val):len(s.val)]
	s.cross = append(s.cross, cross)
}

// addInfo adds k·x·x′ for one sale. The factors' columns ascend, so the upper
// triangle is filled. A sale is in one cell only, so cells share nothing with each
// other and their columns are left out.
func addInfo(m []float64, cells, raw int, o *obs, k, c, c2, orig, year float64, cross []float64,
	slope *[slopeCount]float64) {
	q := raw + slopeCount - cells
	raw -= cells
	kc, kc2, ko, ky := k*c, k*c2, k*orig, k*year
	slope[0] += kc
	slope[1] += kc2
	slope[2] += ko
	slope[3] += ky
	for a := 0; a < featCount; a++ {
		ia := int(o.idx[a])
		row := m[ia*q : ia*q+q]
		for b := max(a, 1); b < featCount; b++ {
			row[int(o.idx[b])-cells] += k
		}
		tail := row[raw : raw+slopeCount]
		tail[0] += kc
		tail[1] += kc2
		tail[2] += ko
		tail[3] += ky
		cross[ia] += k
	}
	r := m[(raw+cells)*q+raw:]
	r[0] += kc * c
	r[1] += kc * c2
	r[2] += kc * orig
	r[3] += kc * year
	r = r[q:]
	r[1] += kc2 * c2
	r[2] += kc2 * orig
	r[3] += kc2 * year
	r = r[q:]
	r[2] += ko * orig
	r[3] += ko * year
	r = r[q:]
	r[3] += ky * year
}

// reduce adds the lanes in their order, into the first.
func (f *fitter) reduce(info bool) *sums {
	out := f.parts[0]
	for _, p := range f.parts[1:] {
		add(out.raw, p.raw)
		add(out.slope[:], p.slope[:])
		add(out.node, p.node)
		add(out.scaleRef, p.scaleRef)
		add(out.scaleRefN, p.scaleRefN)
		add(out.scaleCls, p.scaleCls)
		add(out.scaleClsN, p.scaleClsN)
		add(out.hist[:], p.hist[:])
		out.wild += p.wild
		if info {
			add(out.weight, p.weight)
			out.cross = append(out.cross, p.cross...)
			add(out.cell, p.cell)
			add(out.info, p.info)
		}
	}
	return out
}

func add(to, from []float64) {
	for i, x := range from {
		to[i] += x
	}
}

// score moves what the pass collected into the equations.
func (f *fitter) score() {
	q := f.raw + slopeCount
	terms := make([][]term, q)
	for r := range terms {
		if r < f.raw {
			terms[r] = f.expand(r, nil)
		} else {
			terms[r] = []term{{f.layout.slope + r - f.raw, 1}}
		}
	}
	algebra.Both(func() { f.scoreInfo(terms) }, func() { f.scoreCross(terms) })
}

// scoreInfo sets the information on the coefficients.
func (f *fitter) scoreInfo(terms [][]term) {
	q, cells := f.raw+slopeCount, len(f.grad.cell)
	clear(f.sys.Info)
	for i, x := range f.grad.cell {
		if x != 0 {
			f.addTerms(terms[i], terms[i], x, true)
		}
	}
	w := q - cells
	for i := 0; i < q; i++ {
		row := f.grad.info[i*w : i*w+w]
		for j := max(i, cells); j < q; j++ {
			x := row[j-cells]
			if x == 0 {
				continue
			}
			f.addTerms(terms[i], terms[j], x, i == j)
		}
	}
}

// scoreCross sets the information on the nodes, and what they share with the
// coefficients.
func (f *fitter) scoreCross(terms [][]term) {
	copy(f.sys.Weight, f.grad.weight)
	dense, mark := make([]float64, f.p), make([]bool, f.p)
	for _, c := range f.grad.cross {
		count := 0
		put := func(at int, x float64) {
			dense[at] += x
			if !mark[at] {
				mark[at] = true
				count++
			}
		}
		for k, r := range c.at {
			for _, t := range terms[r] {
				put(t.at, t.x*c.val[k])
			}
		}
		for k, x := range c.slope {
			put(f.layout.slope+k, x)
		}
		f.sys.Cross[c.leaf] = algebra.Gather(dense, mark, count)
	}
}

// addTerms adds x·a·b′ (and its mirror, off the raw diagonal) to the upper triangle.
func (f *fitter) addTerms(a, b []term, x float64, diagonal bool) {
	p := f.p
	for _, s := range a {
		for _, t := range b {
			v := x * s.x * t.x
			i, j := s.at, t.at
			switch {
			case i < j:
				f.sys.Info[i*p+j] += v
			case i > j:
				if !diagonal {
					f.sys.Info[j*p+i] += v
				}
			default:
				f.sys.Info[i*p+i] += v
				if !diagonal {
					f.sys.Info[i*p+i] += v
				}
			}
		}
	}
}
