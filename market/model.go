package market

import (
	"math"
	"midcase/market/algebra"
	"midcase/market/table"
	"strings"
	"sync"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"

	"midcase/money"
)

// Model is a fitted market. It is safe for use by several goroutines at once.
type Model struct {
	scheme
	layout
	table *table.Table
	obs   []obs
	row   []int32
	start []int32 // first sale of each node's leaf; by node

	sys         *algebra.System
	comps       []algebra.Component
	theta, b    []float64
	logScale    []float64
	scaleN      []float64
	scaleMid    float64
	scaleVar    float64
	scaleMidVar float64 // posterior variance of scaleMid
	class       []float64
	dof         float64
	wild        float64
	smear       float64 // Duan's smearing: log(mean/median) = smear·scale²
	curve       CurvatureTest
	cells       []int32 // sales by raw cell
	refOf       map[refName]int32
	typical     map[string][]term       // mean of each feature over the sales
	levelNodes  [algebra.LevelCount]int // of the tree
	latest      int32                   // day of the last sale
	unrated     []Unrated               // sales left out because no rate converts them
	yearless    int                     // sales without a year of making
	mean        algebra.Average         // of the nodes over the sales
	eff         []float64               // effect of each raw column
	timeEff     []float64               // of each quarter, metals apart
	halfEff     [4][2]float64           // of what records lack, by pattern, as condition and as originality
	child       []int32                 // first child of each node
	tTable      []tRow
	quantiles   *quantileTable
}

func (f *fitter) model(t *table.Table) *Model {
	m := &Model{scheme: f.scheme, layout: f.layout, table: t, obs: f.obs, row: f.row, sys: f.sys, comps: f.comps,
		theta: f.theta, b: f.b,
		logScale: f.logScale, scaleN: f.scaleN, scaleMid: f.scaleMid, scaleVar: f.scaleVar, scaleMidVar: f.scaleMidVar,
		class: f.class, dof: f.dof, wild: f.wild}
	m.curve = f.curve()
	m.finish()
	m.smear = m.smearing()
	return m
}

// finish sets what follows from the rest.
func (m *Model) finish() {
	algebra.Both(func() { m.quantiles = newQuantileTable(mixing(m.dof)) }, m.order)
}

// order sets what follows from the nodes and the coefficients.
func (m *Model) order() {
	m.start = make([]int32, len(m.nodes.name)+1)
	for _, o := range m.obs {
		m.start[o.leaf+1]++
	}
	for v := range m.nodes.name {
		m.start[v+1] += m.start[v]
	}
	m.cells = make([]int32, m.featLen[featCell])
	for i := range m.obs {
		m.cells[m.obs[i].idx[featCell]]++
	}
	m.tTable = newTTable()
	m.refOf = map[refName]int32{}
	m.levelNodes = [algebra.LevelCount]int{}
	for v, l := range m.nodes.level {
		m.levelNodes[l]++
		if l == algebra.LevelReference {
			m.refOf[refName{m.nodes.parent[m.nodes.parent[v]], table.Fold(m.nodes.name[v])}] = int32(v)
		}
	}
	m.setEffects()
	m.setTypical()
	m.mean = m.sys.AverageOf(m.theta, m.nodes.count)
}

// Currency is the currency of the model's figures.
func (m *Model) Currency() money.Currency { return m.currency }

// Sales is the number of sales that the model rests on.
func (m *Model) Sales() int { return len(m.obs) }

// Table holds the sales that the model was fitted to, and those left out.
func (m *Model) Table() *table.Table { return m.table }

// Quarters are the first and the last quarter with sales, such as 2015-Q1.
func (m *Model) Quarters() (first, last string) {
	return table.QuarterText(m.first), table.QuarterText(m.last)
}

func (m *Model) scaleOf(o *obs) float64 {
	return math.Exp(m.logScale[m.sys.Parent[o.leaf]] + m.class[o.class])
}

// smearing is Duan's (1983) estimate of how far the mean lies above the median,
// from the residuals of the sales that are no mistakes: the mean of e^residual, per
// squared scale.
func (m *Model) smearing() float64 {
	eff := m.effects(m.b, m.raw)
	s := m.b[m.slope:]
	var sum, sq, n float64
	for i := range m.obs {
		o := &m.obs[i]
		c, c2, orig, year := o.slopes()
		u := o.y - m.theta[o.leaf] - s[0]*c - s[1]*c2 - s[2]*orig - s[3]*year
		for _, k := range o.idx {
			u -= eff[k]
		}
		scale := m.scaleOf(o)
		if math.Abs(u) < 8*scale {
			sum += math.Exp(u)
			sq += scale * scale
			n++
		}
	}
	if n < 50 || sq == 0 {
		return m.dof / (2 * math.Max(m.dof-2, 1))
	}
	return math.Max(0, math.Log(sum/n)) / (sq / n)
}

// curve tests the straight line in condition.
func (f *fitter) curve() CurvatureTest {
	k := f.layout.slope + slopeCurve
	var given int
	for p, n := range f.pattern {
		if p&1 == 0 {
			given += n
		}
	}
	se := math.Sqrt(f.sys.Cov[k*f.p+k])
	out := CurvatureTest{Estimate: f.b[k], SE: se, Z: f.b[k] / se, Used: true}
	out.P = math.Erfc(math.Abs(out.Z) / math.Sqrt2)
	out.Tested = given >= 30 && f.condVar > 0
	return out
}

// fillReport says what the fit found.
func (m *Model) fillReport(r *FitReport) {
	r.RowsUsed = len(m.obs)
	r.ResidualScale, r.DoF, r.ErrorShare = math.Exp(m.scaleMid), m.dof, m.wild
	r.Condition, r.Currency = m.curve, m.currency
	r.Variance = map[string]float64{
		"maker": 1 / m.sys.Link[algebra.LevelMaker], "family": 1 / m.sys.Link[algebra.LevelFamily],
		"reference": 1 / m.sys.Link[algebra.LevelReference], "variant": 1 / m.sys.Link[algebra.LevelVariant],
		"log_scale": m.scaleVar,
	}
	for _, c := range m.comps {
		if c.Fixed {
			continue
		}
		r.Variance[strings.ReplaceAll(c.Name, " ", "_")] = 1 / c.Lambda
	}
}

// mixPoint is a point of the mixing distribution of a Student-t: a normal of
// variance v with weight w.
type mixPoint struct{ v, w float64 }

// mixing discretises the inverse gamma mixing of a t with the given degrees of
// freedom, denser where the variance is large.
func mixing(dof float64) []mixPoint {
	const n = 24
	out := make([]mixPoint, n)
	for k := range out {
		u := (float64(k) + 0.5) / n
		g := mathext.GammaIncRegInv(dof/2, u*u) * 2 / dof
		out[k] = mixPoint{1 / g, 2 * u / n}
	}
	return out
}

// tRow holds quantiles of Student's t.
type tRow struct{ dof, q75, q90, q95 float64 }

// newTTable holds them for degrees of freedom from 1.2 to 330.
var newTTable = sync.OnceValue(func() []tRow {
	var out []tRow
	for k := 0; k <= 80; k++ {
		d := math.Exp(0.2 + float64(k)*0.07)
		t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: d}
		out = append(out, tRow{d, t.Quantile(0.75), t.Quantile(0.9), t.Quantile(0.95)})
	}
	return out
})

// predictive is the distribution of a price around its median in logs: a t with a
// scale that is itself uncertain, and a normal for what is uncertain in the median.
type predictive struct{ q50, q80, q90, scale, dof float64 }

// predict combines them: scale and the variance of its logarithm, and the variance
// of the median. The result is a t with the same middle 50 and 90 %.
func (m *Model) predict(scale, logVar, variance float64) predictive {
	total := scale*scale + variance
	q75, q95 := m.quantiles.at(variance/total, logVar)
	q75, q95 = q75*math.Sqrt(total), q95*math.Sqrt(total)
	ratio := q95 / q75
	k := 0
	for k < len(m.tTable)-2 && m.tTable[k+1].q95/m.tTable[k+1].q75 > ratio {
		k++
	}
	a, b := m.tTable[k], m.tTable[k+1]
	ra, rb := a.q95/a.q75, b.q95/b.q75
	f := math.Min(math.Max((ra-ratio)/(ra-rb), 0), 1)
	mixed := func(x, y float64) float64 { return x + f*(y-x) }
	out := predictive{q50: q75, q90: q95, dof: mixed(a.dof, b.dof)}
	out.scale = q95 / mixed(a.q95, b.q95)
	out.q80 = math.Min(out.scale*mixed(a.q90, b.q90), q95)
	return out
}

// quantileTable holds the 75 and 95 % quantiles of the predictive mixture, in units
// of the root of the summed variances, over the share of the normal part and the
// variance of the log scale. Between its points it is bilinear, within 0.2 %.
type quantileTable struct {
	q75, q95 [shareSteps + 1][logVarSteps + 1]float64
}

const (
	shareSteps, logVarSteps = 24, 5
	maxLogVar               = 0.35
)

func newQuantileTable(mixing []mixPoint) *quantileTable {
	q := &quantileTable{}
	v, p := make([]float64, 3*len(mixing)), make([]float64, 3*len(mixing))
	for i := range q.q75 {
		normal := float64(i) / shareSteps
		for j := range q.q75[i] {
			// The log scale at its mean and at ±√3 standard deviations: Gauss-Hermite.
			sd := math.Sqrt(3 * maxLogVar * float64(j) / logVarSteps)
			for k, s := range [3]float64{1, math.Exp(2 * sd), math.Exp(-2 * sd)} {
				w := [3]float64{2.0 / 3, 1.0 / 6, 1.0 / 6}[k]
				for l, x := range mixing {
					v[k*len(mixing)+l] = math.Sqrt((1-normal)*s*x.v + normal + 1e-12)
					p[k*len(mixing)+l] = w * x.w
				}
			}
			q.q75[i][j], q.q95[i][j] = mixQuantile(v, p, 0.75), mixQuantile(v, p, 0.95)
		}
	}
	return q
}

func (q *quantileTable) at(normal, logVar float64) (q75, q95 float64) {
	x, y := normal*shareSteps, math.Min(logVar, maxLogVar)/maxLogVar*logVarSteps
	i, j := min(int(x), shareSteps-1), min(int(y), logVarSteps-1)
	fx, fy := x-float64(i), y-float64(j)
	mixed := func(t *[shareSteps + 1][logVarSteps + 1]float64) float64 {
		return (1-fx)*((1-fy)*t[i][j]+fy*t[i][j+1]) + fx*((1-fy)*t[i+1][j]+fy*t[i+1][j+1])
	}
	return mixed(&q.q75), mixed(&q.q95)
}

// mixQuantile is a quantile above the median of a mixture of centred normals.
func mixQuantile(sd, w []float64, level float64) float64 {
	var high float64
	for _, s := range sd {
		high = math.Max(high, s)
	}
	low := 0.0
	high *= 2
	x := high / 4
	for k := 0; k < 60; k++ {
		var cdf, pdf float64
		for i, s := range sd {
			z := x / s
			cdf += w[i] * 0.5 * math.Erfc(-z/math.Sqrt2)
			pdf += w[i] * math.Exp(-z*z/2) / (s * math.Sqrt(2*math.Pi))
		}
		if cdf > level {
			high = x
		} else {
			low = x
		}
		next := x - (cdf-level)/pdf
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-x) < 1e-9*next {
			return next
		}
		x = next
	}
	return x
}
