package timing

import (
	"encoding/csv"
	"math"
	"math/cmplx"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// checkTable reads a table of outside values from checks/08_signal (SciPy 1.10.1).
func checkTable(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "checks", "08_signal", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Source: scipy.signal butter and sosfilt, tolerances of the table's own notes.
func TestButterworthAgainstSciPy(t *testing.T) {
	designs := map[string]struct {
		order        int
		lo, hi, rate float64
	}{"bp4_1k_8k_48k": {4, 1000, 8000, 48000}, "bp2_3k_12k_44k1": {2, 3000, 12000, 44100}}
	seen := map[string]int{}
	for _, r := range checkTable(t, "butter_response.csv") {
		d, ok := designs[r["design"]]
		if !ok {
			continue
		}
		seen[r["design"]]++
		h := response(butterBand(d.order, d.lo, d.hi, d.rate), number(t, r["freq_hz"]), d.rate)
		want := cmplx.Rect(number(t, r["magnitude"]), number(t, r["phase_rad"]))
		if cmplx.Abs(h-want) > 1e-8 {
			t.Errorf("%s at %s Hz: %v, want %v", r["design"], r["freq_hz"], h, want)
		}
	}
	if len(seen) < 2 {
		t.Errorf("designs compared: %v, want both band-passes", seen)
	}
}

func TestFilterOutputAgainstSciPy(t *testing.T) {
	var x, want []float64
	for _, r := range checkTable(t, "filter_io.csv") {
		x = append(x, number(t, r["x"]))
		want = append(want, number(t, r["sosfilt"]))
	}
	sos := butterBand(4, 1000, 8000, 48000)
	filter(sos, x[:100]) // in two parts: the state must carry over
	filter(sos, x[100:])
	for i := range x {
		if math.Abs(x[i]-want[i]) > 1e-9 {
			t.Fatalf("sample %d: %v, want %v", i, x[i], want[i])
		}
	}
}

func TestAutocorrelationAgainstSciPy(t *testing.T) {
	var x []float64
	for _, r := range checkTable(t, "filter_io.csv") {
		x = append(x, number(t, r["x"]))
	}
	rows := checkTable(t, "autocorr.csv")
	acf := autocorrelation(x, len(rows)-1)
	for _, r := range rows {
		k := int(number(t, r["lag"]))
		if want := number(t, r["acf_biased"]); math.Abs(acf[k]-want) > 1e-9 {
			t.Fatalf("lag %d: %v, want %v", k, acf[k], want)
		}
	}
}
