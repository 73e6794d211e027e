package market

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// Source: Brownlee (1965), stack loss; t regression with ν = 3, 4, 5 by EM in R
// (Lange, Little and Taylor 1989), maximum likelihood of the scale. The fit's own
// pass, score and step must come to rest there: plant data in place of sales, the
// three regressors in place of condition, originality and year, no priors.
func TestScoringReachesStudentTRegression(t *testing.T) {
	read := func(name string) [][]string {
		f, err := os.Open("../checks/11_robust/" + name + ".csv")
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows[1:]
	}
	data, want := read("stackloss"), read("stackloss_t_regression")
	for k := 0; k < len(want); k += 4 {
		d := &design{scheme: scheme{quarters: 1 + forecastQuarters, gap: []int{1, 1, 1}, bins: 1, binWidth: 1}}
		for _, f := range []*factor{&d.metal, &d.dial, &d.completeness, &d.channel, &d.country} {
			*f, _ = newFactor([]string{""}, []int{1})
		}
		d.setOffsets()
		d.nodes = nodeIndex{name: make([]string, 5), parent: []int32{-1, 0, 1, 2, 3}, level: []uint8{0, 1, 2, 3, 4},
			count: make([]int, 5)}
		for _, r := range data {
			o := obs{y: mixedFigure(t, r[3]) - 17, leaf: 4}
			for j := range o.num {
				o.num[j] = float32(mixedFigure(t, r[j]))
			}
			for j := range o.idx {
				o.idx[j] = uint16(d.off[j])
			}
			d.obs = append(d.obs, o)
		}
		f := newFitter(d, Options{Workers: 1, DegreesOfFreedom: mixedFigure(t, want[k][0])})
		f.wild = 0
		f.logScale[3] = math.Log(mixedFigure(t, want[k][3]))
		for l := range f.sys.Link {
			f.sys.Link[l] = 1e-10
		}
		// Only the level and the three slopes are free.
		for j := range f.comps {
			f.comps[j].Lambda = 1e12
			if n := f.comps[j].Name; n == "condition" || n == "originality" || n == "year" {
				f.comps[j].Lambda = 1e-12
			}
		}
		f.sys.SetPrior(f.comps)
		for i := 0; i < 400; i++ {
			f.pass(true)
			f.score()
			f.sys.Factor()
			f.step()
		}
		b := f.b[f.layout.slope:]
		got := []float64{f.theta[4] + 17, b[slopeCondition], b[slopeOriginality], b[slopeYear]}
		for j, x := range got {
			within(t, "ν "+want[k][0]+" "+want[k+j][1], x, mixedFigure(t, want[k+j][2]), 2e-4*math.Max(1, math.Abs(x)))
		}
		f.pass(true)
		within(t, "score of the scale", f.grad.scaleRef[3]/f.grad.scaleRefN[3], 0, 1e-4)
	}
}

func mixedFigure(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.10g, want %.10g", what, got, want)
	}
}
