package deal

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"
)

// readTable reads one of the outside check files; checks/README.md names their
// sources.
func readTable(t *testing.T, name string) []map[string]string {
	t.Helper()
	return readCheck(t, "12_montecarlo/"+name)
}

func readCheck(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../checks/" + name)
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
	if len(out) == 0 {
		t.Fatalf("%s is empty", name)
	}
	return out
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// lognormals is lognormal.csv by parameters and quantity.
func lognormals(t *testing.T) map[[2]float64]map[string]float64 {
	t.Helper()
	out := map[[2]float64]map[string]float64{}
	for _, r := range readTable(t, "lognormal.csv") {
		k := [2]float64{number(t, r["mu"]), number(t, r["sigma"])}
		if out[k] == nil {
			out[k] = map[string]float64{}
		}
		out[k][r["quantity"]] = number(t, r["value"])
	}
	return out
}

// closedForm is one value of closed_forms.csv.
func closedForm(t *testing.T, quantity string) float64 {
	t.Helper()
	for _, r := range readTable(t, "closed_forms.csv") {
		if strings.TrimSpace(r["quantity"]) == quantity {
			return number(t, r["value"])
		}
	}
	t.Fatalf("closed_forms.csv has no %q", quantity)
	return 0
}
