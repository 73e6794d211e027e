package notes_test

import (
	"encoding/json"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/notes"
)

// Work that is still to do is no fault of the part that would be new, and what it would cost stands beside it.
func TestWorkStillToDo(t *testing.T) {
	for text, want := range map[string]string{
		"needs a new gasket, about 80 euro":                   `{"what":"new gasket","cost":{"amount":"80.00","currency":"EUR"}}`,
		"needs a new gasket eighty euro":                      `{"what":"new gasket","cost":{"amount":"80.00","currency":"EUR"}}`,
		"crystal scratched needs replacing":                   `{"what":"new crystal","slot":"crystal"}`,
		"crown: needs to be replaced, est CHF 120":            `{"what":"new crown","slot":"crown","cost":{"amount":"120.00","currency":"CHF"}}`,
		"it needs a new crown":                                `{"what":"new crown","slot":"crown"}`,
		"Needs a new mainspring and a clean. Dial perfect.":   `{"what":"new mainspring"}`,
		"new crown fitted last year":                          "",
		"needs nothing":                                       "",
		"the new owner wants a box":                           "",
		"dial spotted, needs no work; new crystal since 2019": "",
	} {
		got, replaced := "", false
		for _, it := range notes.Read(text, notes.Options{}).Items {
			if n, ok := it.Data.(*evidence.Need); ok {
				b, err := json.Marshal(n)
				if err != nil {
					t.Fatal(err)
				}
				got += string(b)
			}
			f, ok := it.Data.(*evidence.Finding)
			replaced = replaced || ok && f.Term == "replaced"
		}
		if got != want || want != "" && replaced {
			t.Errorf("%q: %s, replaced %t; want %s", text, got, replaced, want)
		}
	}
}

func TestPowerReserve(t *testing.T) {
	for text, want := range map[string]float64{"power reserve 41 hours": 41, "power reserve of forty one hours": 41,
		"reserve: 38.5 h": 38.5, "sold without reserve 40 hours ago": 0, "power reserve 900 hours": 0, "reserve 4000": 0} {
		got := 0.0
		for _, it := range notes.Read(text, notes.Options{}).Items {
			if r, ok := it.Data.(*evidence.Trial); ok && r.What == evidence.TrialReserve && r.Unit == "h" {
				got = r.Value
			}
		}
		if got != want {
			t.Errorf("%q: %g hours; want %g", text, got, want)
		}
	}
	claimed := notes.Read("power reserve 41 hours, needs a new crown", notes.Options{Seller: true})
	for _, it := range claimed.Items {
		if it.Data.Kind() != evidence.KindClaim && strings.Contains(it.Text, "crown") {
			t.Errorf("a seller's word became %s", it.Data.Kind())
		}
	}
}
