package deal

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// failureModel is an accelerated-failure model with Weibull errors,
//
//	ln T = x′β + u[group] + σ·W,  W the smallest extreme value,
//
// with right censoring, left truncation and normal priors. Its parameters are β, then
// ln σ, then one u a group. Every observation has at most one group, so that the
// groups' block of the information is diagonal and the cost grows linearly with them.
type failureModel struct {
	logTime  []float64
	logEntry []float64 // −Inf: watched from the beginning
	ended    []bool    // else censored
	x        [][]float64
	group    []int // −1: none
	groups   int

	prior   []Normal // of β, then of ln σ
	groupSD float64
	held    []bool // parameters of theta that stay where they start; nil: none
}

// failureFit is the mode with its observed information.
type failureFit struct {
	theta  []float64 // β, ln σ
	u      []float64
	loglik float64       // without the priors
	schur  *mat.Cholesky // of the information on theta, groups absorbed
	diag   []float64     // information on each group's u
	cross  [][]float64   // between u and theta
	cov    *mat.SymDense // inverse of schur's matrix
}

var errNoFit = errors.New("the history does not determine the model; give a prior of finite spread")

// slopes are the derivatives of one log likelihood by η = x′β + u and λ = ln σ.
type slopes struct{ value, eta, lambda, etaEta, etaLambda, lambdaLambda float64 }

// at gives them for one observation: ended adds ln f, else ln S, and entry takes off
// ln S at the entry.
func (m *failureModel) at(i int, eta, lambda float64) slopes {
	inv := math.Exp(-lambda)
	z := (m.logTime[i] - eta) * inv
	e := math.Exp(z)
	s := slopes{value: -e, eta: e * inv, lambda: z * e, etaEta: -e * inv * inv, etaLambda: -(1 + z) * e * inv,
		lambdaLambda: -z * (1 + z) * e}
	if m.ended[i] {
		s.value += z - lambda - m.logTime[i]
		s.eta -= inv
		s.lambda -= z + 1
		s.etaLambda += inv
		s.lambdaLambda += z
	}
	if a := (m.logEntry[i] - eta) * inv; !math.IsInf(m.logEntry[i], -1) {
		e := math.Exp(a)
		s.value += e
		s.eta -= e * inv
		s.lambda -= a * e
		s.etaEta += e * inv * inv
		s.etaLambda += (1 + a) * e * inv
		s.lambdaLambda += a * (1 + a) * e
	}
	return s
}

func (m *failureModel) etaOf(i int, theta, u []float64) float64 {
	eta := 0.0
	for j, x := range m.x[i] {
		eta += x * theta[j]
	}
	if g := m.group[i]; g >= 0 {
		eta += u[g]
	}
	return eta
}

// objective is the log likelihood, and with it the log of the priors' densities up to
// a constant.
func (m *failureModel) objective(theta, u []float64) (loglik, penalised float64) {
	lambda := theta[len(theta)-1]
	for i := range m.logTime {
		loglik += m.at(i, m.etaOf(i, theta, u), lambda).value
	}
	penalised = loglik
	for j, p := range m.prior {
		if d := (theta[j] - p.Mean) / p.SD; d != 0 {
			penalised -= d * d / 2
		}
	}
	for _, v := range u {
		penalised -= v * v / (2 * m.groupSD * m.groupSD)
	}
	return loglik, penalised
}

// score is the gradient and the observed information, split by theta and u.
type score struct {
	theta, u []float64
	info     *mat.SymDense
	diag     []float64
	cross    [][]float64
}

func (m *failureModel) score(theta, u []float64) score {
	d := len(theta)
	s := score{make([]float64, d), make([]float64, m.groups), mat.NewSymDense(d, nil), make([]float64, m.groups),
		make([][]float64, m.groups)}
	for g := range s.cross {
		s.cross[g] = make([]float64, d)
	}
	info := s.info.RawSymmetric().Data // rows of d, of which the upper triangle counts
	for i, row := range m.x {
		o := m.at(i, m.etaOf(i, theta, u), theta[d-1])
		for j, x := range row {
			if x == 0 {
				continue
			}
			s.theta[j] += o.eta * x
			for k := j; k < d-1; k++ {
				info[j*d+k] -= o.etaEta * x * row[k]
			}
			info[j*d+d-1] -= o.etaLambda * x
		}
		s.theta[d-1] += o.lambda
		info[d*d-1] -= o.lambdaLambda
		if g := m.group[i]; g >= 0 {
			s.u[g] += o.eta
			s.diag[g] -= o.etaEta
			for j, x := range m.x[i] {
				s.cross[g][j] -= o.etaEta * x
			}
			s.cross[g][d-1] -= o.etaLambda
		}
	}
	m.addPriors(&s, theta, u)
	return s
}

func (m *failureModel) addPriors(s *score, theta, u []float64) {
	d := len(theta)
	for j, p := range m.prior {
		w := 1 / (p.SD * p.SD)
		s.theta[j] -= w * (theta[j] - p.Mean)
		s.info.SetSym(j, j, s.info.At(j, j)+w)
	}
	for g := range u {
		w := 1 / (m.groupSD * m.groupSD)
		s.u[g] -= w * u[g]
		s.diag[g] += w
	}
	for k, held := range m.held {
		if !held {
			continue
		}
		s.theta[k] = 0
		for j := range d {
			s.info.SetSym(j, k, 0)
		}
		s.info.SetSym(k, k, 1)
		for g := range s.cross {
			s.cross[g][k] = 0
		}
	}
}

// absorb eliminates the groups: what is left of gradient and information on theta.
func (s score) absorb(ridge float64) (*mat.SymDense, *mat.VecDense) {
	d := len(s.theta)
	info, grad := mat.NewSymDense(d, nil), mat.NewVecDense(d, nil)
	info.CopySym(s.info)
	for j, v := range s.theta {
		grad.SetVec(j, v)
		info.SetSym(j, j, info.At(j, j)*(1+ridge)+1e-12*ridge)
	}
	for g, c := range s.cross {
		for j := range d {
			grad.SetVec(j, grad.AtVec(j)-c[j]*s.u[g]/s.diag[g])
			for k := j; k < d; k++ {
				info.SetSym(j, k, info.At(j, k)-c[j]*c[k]/s.diag[g])
			}
		}
	}
	return info, grad
}

// step is Newton's, with a ridge where the information is not positive definite.
func (s score) step() (theta, u []float64, gain float64, err error) {
	for ridge := 0.0; ridge < 1e9; ridge = math.Max(1e-3, 10*ridge) {
		info, grad := s.absorb(ridge)
		var chol mat.Cholesky
		if !chol.Factorize(info) || chol.Cond() > 1e15 {
			continue
		}
		var v mat.VecDense
		if chol.SolveVecTo(&v, grad) != nil {
			continue
		}
		theta = v.RawVector().Data
		u = make([]float64, len(s.u))
		for j, x := range theta {
			gain += x * s.theta[j]
		}
		for g := range u {
			u[g] = s.u[g]
			for j, x := range theta {
				u[g] -= s.cross[g][j] * x
			}
			u[g] /= s.diag[g]
			gain += u[g] * s.u[g]
		}
		return theta, u, gain, nil
	}
	return nil, nil, 0, errNoFit
}

const (
	newtonSteps = 200
	// A step that promises less than this share of the objective is near enough for
	// the full step to be right: the digits of the objective could no longer tell.
	newtonNear = 1e-8
	nearSteps  = 2
)

// fit climbs from theta and u, both changed in place, to the mode.
func (m *failureModel) fit(theta, u []float64) (failureFit, error) {
	_, best := m.objective(theta, u)
	near := 0
	for range newtonSteps {
		s := m.score(theta, u)
		if near == nearSteps {
			return m.finish(theta, u, s)
		}
		dTheta, dU, gain, err := s.step()
		if err != nil {
			return failureFit{}, err
		}
		if near > 0 || gain < newtonNear*(1+math.Abs(best)) {
			near++
			add(theta, dTheta, 1)
			add(u, dU, 1)
			continue
		}
		next, moved := m.climb(theta, u, dTheta, dU, best)
		if !moved {
			return failureFit{}, errNoFit
		}
		best = next
	}
	return failureFit{}, errNoFit
}

func add(to, by []float64, share float64) {
	for i := range to {
		to[i] += share * by[i]
	}
}

// climb takes the step, halved until the objective does not fall.
func (m *failureModel) climb(theta, u, dTheta, dU []float64, best float64) (float64, bool) {
	nt, nu := make([]float64, len(theta)), make([]float64, len(u))
	for h := 1.0; h > 1e-10; h /= 2 {
		copy(nt, theta)
		copy(nu, u)
		add(nt, dTheta, h)
		add(nu, dU, h)
		if _, v := m.objective(nt, nu); v > best && !math.IsInf(v, 1) {
			copy(theta, nt)
			copy(u, nu)
			return v, true
		}
	}
	return best, false
}

func (m *failureModel) finish(theta, u []float64, s score) (failureFit, error) {
	f := failureFit{theta: theta, u: u, diag: s.diag, cross: s.cross, schur: &mat.Cholesky{}, cov: &mat.SymDense{}}
	info, _ := s.absorb(0)
	if !f.schur.Factorize(info) {
		return failureFit{}, errNoFit
	}
	if err := f.schur.InverseTo(f.cov); err != nil {
		return failureFit{}, errNoFit
	}
	for k, held := range m.held {
		if held { // it has no uncertainty
			f.cov.SetSym(k, k, 0)
		}
	}
	f.loglik, _ = m.objective(theta, u)
	return f, nil
}

// se is the standard error of theta[j].
func (f failureFit) se(j int) float64 { return math.Sqrt(f.cov.At(j, j)) }

// varianceOf is the variance of x′theta + u[g], g −1 for none; x has the length of
// theta.
func (f failureFit) varianceOf(x []float64, g int) float64 {
	v, extra := mat.NewVecDense(len(x), nil), 0.0
	for j := range x {
		v.SetVec(j, x[j])
		if g >= 0 {
			v.SetVec(j, x[j]-f.cross[g][j]/f.diag[g])
		}
	}
	if g >= 0 {
		extra = 1 / f.diag[g]
	}
	return mat.Inner(v, f.cov, v) + extra
}
