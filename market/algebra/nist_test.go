package algebra

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// Source: NIST/ITL Statistical Reference Datasets, Linear Least Squares Regression,
// https://www.itl.nist.gov/div898/strd/lls/lls.shtml; certified values. A regression is
// a tree of one node, the intercept, and coefficients without a prior. The columns are
// centred and scaled first, as those of a fit are; normal equations then keep the
// digits asked for here.
func TestNISTReferenceRegressions(t *testing.T) {
	certified := map[string]map[string]float64{}
	for _, r := range mixedRows(t, "../../checks/01_linear_regression/certified_coef.csv") {
		if certified[r[0]] == nil {
			certified[r[0]] = map[string]float64{}
		}
		certified[r[0]][r[1]] = mixedFigure(t, r[2])
	}
	for name, digits := range map[string]float64{"Norris": 11, "Longley": 8} {
		file := map[string]string{"Norris": "norris", "Longley": "longley"}[name]
		rows := mixedRows(t, "../../checks/01_linear_regression/"+file+".csv")
		slopes := regress(t, rows)
		for k, got := range slopes {
			want := certified[name]["B"+string(rune('1'+k))]
			if lre := -math.Log10(math.Abs(got-want) / math.Abs(want)); lre < digits {
				t.Errorf("%s B%d: %.15g, certified %.15g: %.1f digits", name, k+1, got, want, lre)
			}
		}
	}
}

// regress gives the slopes of the first column on the others.
func regress(t *testing.T, rows [][]string) []float64 {
	t.Helper()
	columns := make([][]float64, len(rows[0]))
	for _, r := range rows {
		for k, text := range r {
			columns[k] = append(columns[k], mixedFigure(t, text))
		}
	}
	p := len(columns) - 1
	n := float64(len(rows))
	scale := make([]float64, len(columns))
	for k, c := range columns {
		mean, sd := stat.MeanStdDev(c, nil)
		scale[k] = sd
		for i := range c {
			c[i] = (c[i] - mean) / sd
		}
	}
	s := &System{
		Parent: []int32{-1}, Level: []uint8{LevelRoot}, Weight: []float64{n}, Cross: make([]Sparse, 1),
		P: p, Info: make([]float64, p*p), Prior: make([]float64, p*p),
	}
	xy := make([]float64, p)
	for i := range columns[0] {
		x := Sparse{At: make([]int32, p), Val: make([]float64, p)}
		for k := range p {
			x.At[k], x.Val[k] = int32(k), columns[k+1][i]
			xy[k] += columns[k+1][i] * columns[0][i]
		}
		outer(s.Info, p, x, 1, 0, int32(p))
	}
	if !s.Eliminate() {
		t.Fatal("the equations are not positive definite")
	}
	_, b := s.Solve([]float64{0}, xy)
	for k := range b {
		b[k] *= scale[0] / scale[k+1]
	}
	return b
}
