package metal

import (
	"errors"
	"math"
	"testing"
)

// 1000·k/24, and the marks that go with the karats (legal standards of fineness;
// 417 from memory).
func TestKarats(t *testing.T) {
	for _, c := range []struct {
		karat float64
		exact float64
		mark  int
	}{{9, 375, 375}, {10, 416.667, 417}, {14, 583.333, 585}, {18, 750, 750}, {22, 916.667, 916}, {24, 1000, 999}} {
		exact, err := PermilleOfKarat(c.karat)
		if err != nil || math.Abs(exact-c.exact) > 0.001 {
			t.Errorf("%g k: %g, %v, want %g", c.karat, exact, err, c.exact)
		}
		mark, err := MarkOfKarat(c.karat)
		if err != nil || mark != c.mark {
			t.Errorf("%g k: mark %d, %v, want %d", c.karat, mark, err, c.mark)
		}
		back, err := KaratOfPermille(exact)
		if err != nil || math.Abs(back-c.karat) > 1e-12 {
			t.Errorf("%g ‰: %g k, %v", exact, back, err)
		}
	}
}

func TestKaratErrors(t *testing.T) {
	for _, k := range []float64{0, -1, 25, math.NaN()} {
		if _, err := PermilleOfKarat(k); !errors.Is(err, ErrInput) {
			t.Errorf("%g karat: %v", k, err)
		}
		if _, err := KaratOfPermille(k * 1000); !errors.Is(err, ErrInput) {
			t.Errorf("%g permille: %v", k*1000, err)
		}
	}
	if _, err := MarkOfKarat(17); !errors.Is(err, ErrInput) {
		t.Error("17 karat has no standard mark")
	}
}

// The legal standards listed on the hallmarking convention's page for the United
// Kingdom.
func TestLegalStandards(t *testing.T) {
	for element, list := range map[string][]int{Gold: {375, 585, 750, 916, 990, 999}, Silver: {800, 925, 958, 999},
		Platinum: {850, 900, 950, 999}, Palladium: {500, 950, 999}} {
		for _, n := range list {
			if !IsStandard(element, n) {
				t.Errorf("%s %d is missing", element, n)
			}
		}
	}
	if IsStandard(Gold, 925) || IsStandard("tin", 999) {
		t.Error("a standard that does not exist")
	}
}
