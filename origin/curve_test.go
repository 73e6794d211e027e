package origin

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"midcase/edtf"
)

// table reads a CSV file of outside check values: set → rows of numbers.
func table(t *testing.T, name string) map[string][][]float64 {
	t.Helper()
	f, err := os.Open("../checks/07_geometry/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := make(map[string][][]float64)
	for _, r := range rows[1:] {
		var v []float64
		for _, s := range r[1:] {
			if s == "NA" { // a method that refuses this set
				v = append(v, math.NaN())
				continue
			}
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			v = append(v, x)
		}
		out[r[0]] = append(out[r[0]], v)
	}
	if len(out) == 0 {
		t.Fatalf("%s holds no rows", name)
	}
	return out
}

// Values by SciPy's PchipInterpolator and by pracma::pchip of R; knots of the sets
// after Fritsch and Carlson (1980) and Akima (1970). See checks/README.md, 7.
func TestCubicAgreesWithSciPyAndR(t *testing.T) {
	knots := table(t, "pchip_knots.csv")
	scipy := table(t, "pchip_values.csv")
	r := table(t, "pchip_values_R.csv")
	for set, rows := range knots {
		var x, y []float64
		for _, k := range rows {
			x, y = append(x, k[0]), append(y, k[1])
		}
		c := newCubic(x, y)
		for i, k := range rows {
			near(t, set+" slope", c.d[i], k[2], 1e-12)
		}
		for _, v := range scipy[set] {
			near(t, set+" SciPy", c.at(v[0]), v[1], 1e-12)
		}
		for _, v := range r[set] {
			near(t, set+" pracma", c.at(v[0]), v[1], 1e-12)
		}
		if len(scipy[set]) == 0 || len(r[set]) == 0 {
			t.Errorf("%s: no values to check against", set)
		}
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: got %.15g, want %.15g", what, got, want)
	}
}

func testCurve(t testing.TB) *Curve {
	t.Helper()
	c, err := NewCurve([]Anchor{
		{1_000_000, edtf.MonthOf(1955, 1)}, {1_150_000, edtf.MonthOf(1958, 6)},
		{1_500_000, edtf.MonthOf(1962, 1)}, {1_500_900, edtf.MonthOf(1962, 1)},
		{2_400_000, edtf.MonthOf(1970, 1)}, {2_900_000, edtf.MonthOf(1976, 1)},
	})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCurveGoesThroughItsAnchorsAndNeverBack(t *testing.T) {
	c := testCurve(t)
	if m, gap, in := c.At(1_150_000); m != float64(edtf.MonthOf(1958, 6)) || gap != 0 || !in {
		t.Errorf("at an anchor: month %v, gap %v, inside %v", m, gap, in)
	}
	before := math.Inf(-1)
	for n := int64(600_000); n < 3_600_000; n += 1_700 {
		m, gap, in := c.At(n)
		if m < before {
			t.Fatalf("number %d: month %v runs back from %v", n, m, before)
		}
		if in != (n >= 1_000_000 && n <= 2_900_000) {
			t.Errorf("number %d: inside %v", n, in)
		}
		if gap < 0 || math.IsNaN(gap) {
			t.Errorf("number %d: gap %v", n, gap)
		}
		before = m
	}
}

func TestDoubtGrowsBeyondTheAnchors(t *testing.T) {
	c := testCurve(t)
	last := 0.0
	for _, n := range []int64{2_900_000, 3_000_000, 3_200_000, 4_000_000} {
		_, gap, in := c.At(n)
		s := scale(3, gap, in)
		if s <= last {
			t.Errorf("number %d: scale %v does not grow from %v", n, s, last)
		}
		last = s
	}
	// At the pace of the last bracket: 72 months for 500,000 numbers.
	m, gap, _ := c.At(3_400_000)
	near(t, "beyond", m, float64(edtf.MonthOf(1982, 1)), 1e-12)
	near(t, "gap", gap, 72, 1e-9)
}

func TestNewCurveNamesWhatIsWrong(t *testing.T) {
	m := edtf.MonthOf(1960, 1)
	for _, c := range []struct {
		anchors []Anchor
		want    string
	}{
		{nil, "anchors: found 0, want at least 2"},
		{[]Anchor{{5, m}}, "anchors: found 1, want at least 2"},
		{[]Anchor{{5, m}, {5, m + 1}}, "anchors[1].number: 5 does not rise above 5"},
		{[]Anchor{{5, m}, {9, m - 1}}, "anchors[1].month: 1959-12 comes before 1960-01"},
		{[]Anchor{{0, m}, {9, m + 1}}, "anchors[0].number: 0, want 1 or more"},
		{[]Anchor{{5, m}, {9, m}}, "all in month 1960-01"},
	} {
		_, err := NewCurve(c.anchors)
		wantError(t, err, c.want)
	}
}

func TestNewCurveLeavesItsAnchorsAlone(t *testing.T) {
	a := []Anchor{{5, 23000}, {9, 23001}, {12, 23009}}
	b := append([]Anchor(nil), a...)
	c, err := NewCurve(a)
	if err != nil {
		t.Fatal(err)
	}
	before, _, _ := c.At(7)
	for i := range a {
		if a[i] != b[i] {
			t.Errorf("anchor %d changed to %v", i, a[i])
		}
	}
	a[1].Month = 1
	if after, _, _ := c.At(7); after != before {
		t.Error("the curve changed with the caller's slice")
	}
}
