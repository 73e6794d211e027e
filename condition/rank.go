package condition

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"midcase/estimate"
	"midcase/say"
)

// Comparison says that of two examples A was judged better, worse or the same.
type Comparison struct {
	A, B   string
	Result float64 // 1: A better; 0: B better; 0.5: the same, half a win each
	Weight float64 // how often; 0 counts as 1
}

// PriorSD is the standard deviation of the weak normal prior that Rank puts on each
// ability, in units of log odds: two unknown examples then differ by a factor of
// about 8 in odds or less, two times out of three.
const PriorSD = 1.5

// Ranking is what paired comparisons say about examples.
type Ranking struct {
	Standings []Standing // best first
	index     map[string]int
	abilities []float64
	cov       *mat.SymDense
}

// Standing is one example among the others.
type Standing struct {
	Example  string
	Ability  float64 // log odds; mean 0 with the prior, first example 0 without
	SE       float64
	Compared int // comparisons that name it
	Place    int // 1 is best; examples of the same ability share one
	// PlaceInterval is the 90 % range of its true place.
	PlaceInterval estimate.Interval
	// Better of Of others rank below it by ability; P is the chance that it is truly
	// better than at least that many, and for the last that it truly is the last.
	Better, Of int
	P          float64
	// SurelyBetter is how many of the others it is better than with a chance of at
	// least 95 %.
	SurelyBetter int
}

// Rank fits the Bradley–Terry model P(A better) = 1/(1+exp(b−a)) with a weak normal
// prior (PriorSD) to the comparisons (Bradley and Terry 1952; Agresti, Categorical
// Data Analysis, ch. 10). Examples never compared stay at the prior.
func Rank(examples []string, comparisons []Comparison) (Ranking, error) {
	return RankWithPrior(examples, comparisons, PriorSD)
}

// RankWithPrior is Rank with another prior. An infinite priorSD is no prior: then
// the first example is the yardstick with ability 0, and the comparisons must
// connect every example to every other by wins in both directions, or the fit does
// not exist.
func RankWithPrior(examples []string, comparisons []Comparison, priorSD float64) (Ranking, error) {
	if !(priorSD > 0) {
		return Ranking{}, fmt.Errorf("%w: rank: prior sd %g: want more than 0", ErrInput, priorSD)
	}
	r, wins, err := tally(examples, comparisons)
	if err != nil || len(examples) == 0 {
		return r, err
	}
	if math.IsInf(priorSD, 1) {
		if a, b, ok := separated(wins); ok {
			return Ranking{},
				fmt.Errorf("%w: rank: without a prior every example must be linked to every other by wins; %q never comes out above %q, even over others",
					ErrInput, examples[a], examples[b])
		}
	}
	if err := r.fit(wins, priorSD); err != nil {
		return Ranking{}, err
	}
	r.place()
	return r, nil
}

func tally(examples []string, comparisons []Comparison) (Ranking, [][]float64, error) {
	n := len(examples)
	r := Ranking{Standings: make([]Standing, n), index: make(map[string]int, n), abilities: make([]float64, n)}
	wins := make([][]float64, n)
	for i, e := range examples {
		if _, twice := r.index[e]; twice || e == "" {
			return Ranking{}, nil, fmt.Errorf("%w: rank: example %d: %q: want a name of its own for each example",
				ErrInput, i+1, e)
		}
		r.index[e] = i
		r.Standings[i].Example = e
		wins[i] = make([]float64, n)
	}
	for k, c := range comparisons {
		a, okA := r.index[c.A]
		b, okB := r.index[c.B]
		if !okA || !okB || a == b {
			return Ranking{}, nil, fmt.Errorf("%w: rank: comparison %d: %q with %q: want two of the examples",
				ErrInput,
				k+1, c.A, c.B)
		}
		if !(c.Result >= 0 && c.Result <= 1) {
			return Ranking{}, nil, fmt.Errorf("%w: rank: comparison %d: result %g: want 0 to 1", ErrInput, k+1,
				c.Result)
		}
		w := c.Weight
		if w == 0 {
			w = 1
		}
		if !(w > 0) || math.IsInf(w, 1) {
			return Ranking{}, nil, fmt.Errorf("%w: rank: comparison %d: weight %g: want a positive number", ErrInput,
				k+1, c.Weight)
		}
		wins[a][b] += w * c.Result
		wins[b][a] += w * (1 - c.Result)
		r.Standings[a].Compared++
		r.Standings[b].Compared++
	}
	return r, wins, nil
}

// separated finds two examples with no chain of wins from the first to the second.
func separated(wins [][]float64) (int, int, bool) {
	n := len(wins)
	for _, from := range []bool{true, false} {
		seen := make([]bool, n)
		seen[0] = true
		queue := []int{0}
		for len(queue) > 0 {
			i := queue[0]
			queue = queue[1:]
			for j := range n {
				won := wins[i][j]
				if !from {
					won = wins[j][i]
				}
				if won > 0 && !seen[j] {
					seen[j] = true
					queue = append(queue, j)
				}
			}
		}
		if j := slices.Index(seen, false); j >= 0 {
			if from {
				return 0, j, true
			}
			return j, 0, true
		}
	}
	return 0, 0, false
}

// fit maximises the penalised likelihood by Newton's method with halved steps; the
// covariance is the inverse of the information there.
func (r *Ranking) fit(wins [][]float64, priorSD float64) error {
	n := len(wins)
	first := 0
	if math.IsInf(priorSD, 1) {
		first = 1 // ability 0 held fixed
	}
	m := n - first
	precision := 1 / (priorSD * priorSD)
	r.cov = mat.NewSymDense(n, nil)
	if m == 0 {
		return nil
	}
	var chol mat.Cholesky
	value := r.logPosterior(wins, r.abilities, precision)
	for range 100 {
		gradient, information := r.derivatives(wins, precision, first)
		if !chol.Factorize(information) {
			return fmt.Errorf("%w: rank: the comparisons do not tell the examples apart", ErrInput)
		}
		var step mat.VecDense
		if err := chol.SolveVecTo(&step, gradient); err != nil {
			return fmt.Errorf("%w: rank: %v", ErrInput, err)
		}
		size := 1.0
		next := slices.Clone(r.abilities)
		for ; size > 1e-6; size /= 2 {
			for i := range m {
				next[first+i] = r.abilities[first+i] + size*step.AtVec(i)
			}
			if v := r.logPosterior(wins, next, precision); v >= value-1e-12*math.Abs(value) {
				value = v
				break
			}
		}
		r.abilities = next
		if mat.Norm(&step, math.Inf(1)) < 1e-11 {
			break
		}
	}
	var inverse mat.SymDense
	if err := chol.InverseTo(&inverse); err != nil {
		return fmt.Errorf("%w: rank: %v", ErrInput, err)
	}
	for i := range m {
		for j := i; j < m; j++ {
			r.cov.SetSym(first+i, first+j, inverse.At(i, j))
		}
	}
	return nil
}

func (r *Ranking) logPosterior(wins [][]float64, a []float64, precision float64) float64 {
	var v float64
	for i := range wins {
		for j, w := range wins[i] {
			if w > 0 {
				v -= w * math.Log1p(math.Exp(a[j]-a[i]))
			}
		}
		v -= 0.5 * precision * a[i] * a[i]
	}
	return v
}

func (r *Ranking) derivatives(wins [][]float64, precision float64, first int) (*mat.VecDense, *mat.SymDense) {
	n := len(wins)
	m := n - first
	g := mat.NewVecDense(m, nil)
	h := mat.NewSymDense(m, nil)
	add := func(i int, x float64) {
		if i >= first {
			g.SetVec(i-first, g.AtVec(i-first)+x)
		}
	}
	addH := func(i, j int, x float64) {
		if i >= first && j >= first {
			h.SetSym(i-first, j-first, h.At(i-first, j-first)+x)
		}
	}
	for i := range n {
		add(i, -precision*r.abilities[i])
		addH(i, i, precision)
		for j := i + 1; j < n; j++ {
			played := wins[i][j] + wins[j][i]
			if played == 0 {
				continue
			}
			p := 1 / (1 + math.Exp(r.abilities[j]-r.abilities[i]))
			add(i, wins[i][j]-played*p)
			add(j, wins[j][i]-played*(1-p))
			w := played * p * (1 - p)
			addH(i, i, w)
			addH(j, j, w)
			addH(i, j, -w)
		}
	}
	return g, h
}

// Of finds the standing of one example.
func (r Ranking) Of(example string) (Standing, bool) {
	for _, s := range r.Standings {
		if s.Example == example {
			return s, true
		}
	}
	return Standing{}, false
}

// PBetter is the chance that example a is truly better than b, by the normal
// approximation to their difference in ability; false where either is not ranked.
func (r Ranking) PBetter(a, b string) (float64, bool) {
	i, okA := r.index[a]
	j, okB := r.index[b]
	if !okA || !okB || i == j {
		return 0, false
	}
	return r.pBetter(i, j), true
}

func (r Ranking) pBetter(i, j int) float64 {
	v := r.cov.At(i, i) + r.cov.At(j, j) - 2*r.cov.At(i, j)
	if v <= 0 {
		return 0.5
	}
	return distuv.UnitNormal.CDF((r.abilities[i] - r.abilities[j]) / math.Sqrt(v))
}

// Says is the standing in a sentence: "Better than 34 of the 37 others examined, …".
func (s Standing) Says() say.Statement {
	if s.Of == 0 {
		return say.That("rank.alone")
	}
	if s.Compared == 0 {
		return say.That("rank.not-compared", say.Count("others", s.Of))
	}
	if s.Better == 0 {
		return say.That("rank.last", say.Count("others", s.Of), say.Chance("chance", s.P), say.Count("all", s.Of+1),
			say.Measured("place", float64(s.Place), s.PlaceInterval, say.None, 0))
	}
	return say.That("rank.place", say.Count("better", s.Better), say.Count("others", s.Of),
		say.Count("clearly", s.SurelyBetter), say.Count("all", s.Of+1),
		say.Measured("place", float64(s.Place), s.PlaceInterval, say.None, 0))
}
