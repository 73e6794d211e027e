package photo

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// row is one line of a table of outside values, by column name.
type row map[string]string

func (r row) num(t *testing.T, name string) float64 {
	t.Helper()
	if r[name] == "nan" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(r[name], 64)
	if err != nil {
		t.Fatalf("column %s: %v", name, err)
	}
	return v
}

// checkTable reads a table from checks/ (sources in checks/README.md, 6 and 7).
func checkTable(t *testing.T, path string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "checks", path))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []row
	for _, l := range lines[1:] {
		r := row{}
		for i, name := range lines[0] {
			r[name] = l[i]
		}
		out = append(out, r)
	}
	if len(out) == 0 {
		t.Fatalf("%s is empty", path)
	}
	return out
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.12g, want %.12g ± %g", what, got, want, tol)
	}
}

// The 34 pairs of Sharma, Wu and Dalal (2005), four decimals as printed. Pair 10 has
// opposite hues to within rounding and is printed 7.1792.
func TestCIEDE2000PublishedPairs(t *testing.T) {
	rows := checkTable(t, "06_colour/ciede2000_34pairs.csv")
	if len(rows) != 34 {
		t.Fatalf("%d pairs, want 34", len(rows))
	}
	for _, r := range rows {
		p := Lab{r.num(t, "L1"), r.num(t, "a1"), r.num(t, "b1")}
		q := Lab{r.num(t, "L2"), r.num(t, "a2"), r.num(t, "b2")}
		near(t, "pair "+r["pair"], CIEDE2000(p, q), r.num(t, "dE00"), 5.1e-5)
		near(t, "pair "+r["pair"]+" turned round", CIEDE2000(q, p), CIEDE2000(p, q), 1e-9)
	}
}

// scikit-image 0.19.3 and culori 4.0.2; their matrices and whites differ in the last
// digits, so to 0.02 (checks/README.md).
func TestLabOfSRGB(t *testing.T) {
	ski, cul := checkTable(t, "06_colour/srgb_lab_d65.csv"), checkTable(t, "06_colour/srgb_lab_d65_culori.csv")
	for i, r := range ski {
		var c Linear
		for k, name := range []string{"R", "G", "B"} {
			c[k] = DecodeSRGB(r.num(t, name) / 255)
		}
		xyz, lab := c.XYZ(), c.Lab()
		for k, name := range []string{"X", "Y", "Z"} {
			near(t, r["hex"]+" "+name, xyz[k], r.num(t, name), 1e-4)
		}
		for k, name := range []string{"L", "a", "b"} {
			near(t, r["hex"]+" "+name, lab[k], r.num(t, name), 0.02)
			near(t, r["hex"]+" "+name+" by culori", lab[k], cul[i].num(t, name+"65"), 0.02)
		}
		back := lab.Linear()
		for k, name := range []string{"R", "G", "B"} {
			near(t, r["hex"]+" back to "+name, EncodeSRGB(back[k])*255, r.num(t, name), 0.01)
		}
	}
}

// Values in docs/methods: by CIE 15 and IEC 61966-2-1, from two independent programs.
func TestLabByHand(t *testing.T) {
	for _, c := range []struct{ rgb, lab [3]float64 }{
		{[3]float64{119, 119, 119}, [3]float64{50.03, 0, 0}},
		{[3]float64{255, 0, 0}, [3]float64{53.24, 80.09, 67.20}},
		{[3]float64{200, 180, 140}, [3]float64{74.07, 1.09, 23.05}},
	} {
		var l Linear
		for k := range l {
			l[k] = DecodeSRGB(c.rgb[k] / 255)
		}
		for k, v := range l.Lab() {
			near(t, "Lab", v, c.lab[k], 0.02)
		}
	}
}

func TestHomographyOutside(t *testing.T) {
	from, to := map[string][]Point{}, map[string][]Point{}
	for _, r := range checkTable(t, "07_geometry/homography_points.csv") {
		from[r["case"]] = append(from[r["case"]], Point{r.num(t, "x"), r.num(t, "y")})
		to[r["case"]] = append(to[r["case"]], Point{r.num(t, "u"), r.num(t, "v")})
	}
	want := map[string][]float64{}
	for _, r := range checkTable(t, "07_geometry/homography_matrix.csv") {
		want[r["case"]] = append(want[r["case"]], r.num(t, "h1"), r.num(t, "h2"), r.num(t, "h3"))
	}
	fits := map[string]Homography{}
	for name := range from {
		h, err := FitHomography(from[name], to[name])
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		fits[name] = h
		tol := map[bool]float64{true: 1e-6, false: 1e-9}[name == "overdet8"]
		for i := range h {
			near(t, name, h[i], want[name][i], tol*max(1, math.Abs(want[name][i])))
		}
	}
	for _, r := range checkTable(t, "07_geometry/homography_map.csv") {
		h := fits[r["case"]]
		p := h.Apply(Point{r.num(t, "x"), r.num(t, "y")})
		near(t, r["case"]+" u", p[0], r.num(t, "u"), 1e-5*max(1, math.Abs(r.num(t, "u"))))
		near(t, r["case"]+" v", p[1], r.num(t, "v"), 1e-5*max(1, math.Abs(r.num(t, "v"))))
		back := h.Inverse().Apply(p)
		near(t, r["case"]+" back", distance(back, Point{r.num(t, "x"), r.num(t, "y")}), 0, 1e-8)
	}
}

func TestSimilarityOutside(t *testing.T) {
	var from, to []Point
	for _, r := range checkTable(t, "07_geometry/simaffine_points.csv") {
		from = append(from, Point{r.num(t, "x"), r.num(t, "y")})
		to = append(to, Point{r.num(t, "u"), r.num(t, "v")})
	}
	h, err := FitSimilarity(from, to)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range checkTable(t, "07_geometry/simaffine_matrix.csv")[:3] {
		for j, name := range []string{"m1", "m2", "m3"} {
			near(t, "similarity", h[3*i+j], r.num(t, name), 1e-9)
		}
	}
}

func fitPoints(t *testing.T) map[string][]Point {
	out := map[string][]Point{}
	for _, r := range checkTable(t, "07_geometry/fit_points.csv") {
		out[r["set"]] = append(out[r["set"]], Point{r.num(t, "x"), r.num(t, "y")})
	}
	return out
}

func TestCircleFitsOutside(t *testing.T) {
	points := fitPoints(t)
	for _, r := range checkTable(t, "07_geometry/circle_fit.csv") {
		fit, tol := FitCircleAlgebraic, 1e-8
		if r["method"] == "geometric_LS" {
			fit, tol = FitCircle, 1e-6
		}
		c, err := fit(points[r["set"]])
		if err != nil {
			t.Fatalf("%s %s: %v", r["set"], r["method"], err)
		}
		name := r["set"] + " " + r["method"]
		near(t, name+" x", c.X, r.num(t, "xc"), tol)
		near(t, name+" y", c.Y, r.num(t, "yc"), tol)
		near(t, name+" r", c.R, r.num(t, "r"), tol)
	}
}

func TestEllipseFitsOutside(t *testing.T) {
	points := fitPoints(t)
	for _, r := range checkTable(t, "07_geometry/ellipse_fit.csv") {
		fit, tol := FitEllipseAlgebraic, 1e-8
		if r["method"] == "geometric_LS" {
			fit, tol = FitEllipse, map[bool]float64{true: 1e-4, false: 1e-6}[r["set"] == "gander_ellipse8"]
		}
		e, err := fit(points[r["set"]])
		if err != nil {
			t.Fatalf("%s %s: %v", r["set"], r["method"], err)
		}
		want := Ellipse{r.num(t, "xc"), r.num(t, "yc"), r.num(t, "a"), r.num(t, "b"), r.num(t, "theta")}.tidy()
		name := r["set"] + " " + r["method"]
		near(t, name+" x", e.X, want.X, tol)
		near(t, name+" y", e.Y, want.Y, tol)
		near(t, name+" a", e.A, want.A, tol)
		near(t, name+" b", e.B, want.B, tol)
		near(t, name+" angle", math.Remainder(e.Angle-want.Angle, math.Pi), 0, tol)
		if r["method"] == "geometric_LS" {
			s := 0.0
			for _, p := range points[r["set"]] {
				s += e.Distance(p) * e.Distance(p)
			}
			near(t, name+" sum of squares", s, r.num(t, "sum_sq_geometric"), 1e-7)
		}
	}
}
