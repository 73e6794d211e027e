package deal

import (
	"math"
	"strings"
	"testing"
)

// survreg.csv: R survival 3.5-3, on data of Edmonson et al. 1979
// (ovarian), Loprinzi et al. 1994 (lung) and Kardaun 1983 (larynx); checks/README.md section 5 names the tolerances.

// trial is a data set: times, whether each ended, and covariates with an intercept.
type trial struct {
	time  []float64
	ended []bool
	x     [][]float64
	terms []string
}

func readTrial(t *testing.T, file, time, status, ended string, terms ...string) trial {
	t.Helper()
	out := trial{terms: append([]string{"(Intercept)"}, terms...)}
rows:
	for _, r := range readCheck(t, "05_survival/"+file) {
		x := []float64{1}
		for _, term := range terms {
			name, level, isFactor := strings.Cut(strings.TrimPrefix(term, "factor("), ")")
			switch {
			case r[name] == "NA":
				continue rows
			case isFactor && r[name] == level:
				x = append(x, 1)
			case isFactor:
				x = append(x, 0)
			default:
				x = append(x, number(t, r[term]))
			}
		}
		out.time, out.ended, out.x = append(out.time, number(t, r[time])), append(out.ended, r[status] == ended),
			append(out.x, x)
	}
	return out
}

func (d trial) model() *failureModel {
	m := &failureModel{ended: d.ended, x: d.x}
	for _, v := range d.time {
		m.logTime, m.logEntry, m.group = append(m.logTime, math.Log(v)), append(m.logEntry, math.Inf(-1)),
			append(m.group, -1)
	}
	for range len(d.terms) + 1 {
		m.prior = append(m.prior, Normal{0, math.Inf(1)})
	}
	return m
}

func fitTrial(t *testing.T, d trial, exponential bool) failureFit {
	t.Helper()
	m := d.model()
	theta := make([]float64, len(d.terms)+1)
	if exponential {
		m.held = make([]bool, len(theta))
		m.held[len(theta)-1] = true
	}
	theta[0] = math.Log(mean(d.time))
	f, err := m.fit(theta, nil)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestFailureModelAgainstSurvreg(t *testing.T) {
	want := map[string]map[string]map[string]string{}
	for _, r := range readCheck(t, "05_survival/survreg.csv") {
		if want[r["model"]] == nil {
			want[r["model"]] = map[string]map[string]string{}
		}
		want[r["model"]][r["term"]] = r
	}
	ovarian := readTrial(t, "ovarian.csv", "futime", "fustat", "1", "ecog.ps", "rx")
	for name, d := range map[string]trial{
		"ovarian_weibull":      ovarian,
		"ovarian_exponential":  ovarian,
		"lung_weibull_null":    readTrial(t, "lung.csv", "time", "status", "2"),
		"lung_weibull_age_sex": readTrial(t, "lung.csv", "time", "status", "2", "age", "sex"),
		"larynx_weibull": readTrial(t, "larynx.csv", "time", "delta", "1", "factor(stage)2", "factor(stage)3",
			"factor(stage)4", "age"),
	} {
		exponential := strings.HasSuffix(name, "exponential")
		f := fitTrial(t, d, exponential)
		last := len(f.theta) - 1
		for j, term := range d.terms {
			r := want[name][term]
			e, se := number(t, r["estimate"]), number(t, r["se"])
			within(t, name+" "+term, f.theta[j], e, 1e-6*math.Abs(e))
			within(t, name+" SE of "+term, f.se(j), se, 1e-5*se)
			within(t, name+" scale", math.Exp(f.theta[last]), number(t, r["scale"]), 1e-6)
			within(t, name+" log likelihood", f.loglik, number(t, r["loglik"]), 1e-7)
		}
		if exponential {
			continue
		}
		r := want[name]["Log(scale)"]
		e, se := number(t, r["estimate"]), number(t, r["se"])
		within(t, name+" log scale", f.theta[last], e, 1e-6*math.Abs(e))
		within(t, name+" SE of log scale", f.se(last), se, 1e-5*se)
	}
}

// Entering every spell at its own beginning or not at all is the same; the
// derivatives with entries are those of differences.
func TestDerivativesOfTruncatedLikelihood(t *testing.T) {
	m := &failureModel{logTime: []float64{4.1, 3.2}, logEntry: []float64{3.3, 1.2}, ended: []bool{true, false}}
	const h = 1e-5
	for i := range m.ended {
		for _, p := range [][2]float64{{4, 0.1}, {3, -0.4}, {5, 0.6}} {
			at := func(de, dl float64) slopes { return m.at(i, p[0]+de, p[1]+dl) }
			o := at(0, 0)
			within(t, "by eta", o.eta, (at(h, 0).value-at(-h, 0).value)/(2*h), 1e-6)
			within(t, "by lambda", o.lambda, (at(0, h).value-at(0, -h).value)/(2*h), 1e-6)
			within(t, "eta twice", o.etaEta, (at(h, 0).eta-at(-h, 0).eta)/(2*h), 1e-6)
			within(t, "eta and lambda", o.etaLambda, (at(0, h).eta-at(0, -h).eta)/(2*h), 1e-6)
			within(t, "lambda twice", o.lambdaLambda, (at(0, h).lambda-at(0, -h).lambda)/(2*h), 1e-6)
		}
	}
}
