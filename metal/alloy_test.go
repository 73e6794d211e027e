package metal

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestAlloysHoldPublishedValues(t *testing.T) {
	// A jeweller's supplier's table of specific gravity; 9 karat white from a jeweller's
	// page.
	for id, rho := range map[string]float64{"gold9_white": 10.7, "gold10_yellow": 11.57, "gold10_white": 11.07,
		"gold10_rose": 11.59, "gold14_yellow": 13.07, "gold14_white": 12.61,
		"gold14_rose": 13.26, "gold18_yellow": 15.58, "gold18_white": 14.64, "gold18_rose": 15.18, "silver925": 10.40,
		"platinum950": 20.1} {
		a := alloy(t, id)
		if rho < a.Low || rho > a.High {
			t.Errorf("%s: %g outside %g–%g", id, rho, a.Low, a.High)
		}
	}
	// Ideal mixing, 1/Σ(w/ρ), with densities of the elements from memory.
	const au, ag, cu = 19.32, 10.49, 8.96
	for id, mix := range map[string][3]float64{"gold18_yellow": {0.75, 0.125, 0.125},
		"gold18_rose": {0.75, 0.045, 0.205}, "silver925": {0, 0.925, 0.075}, "silver800": {0, 0.8, 0.2},
		"gold22_yellow": {0.9167, 0.0417, 0.0416}} {
		a := alloy(t, id)
		rho := 1 / (mix[0]/au + mix[1]/ag + mix[2]/cu)
		if rho < a.Low || rho > a.High {
			t.Errorf("%s: mixing gives %.2f outside %g–%g", id, rho, a.Low, a.High)
		}
	}
}

func alloy(t *testing.T, id string) Alloy {
	t.Helper()
	for _, a := range Alloys() {
		if a.ID == id {
			return a
		}
	}
	t.Fatalf("no alloy %s", id)
	return Alloy{}
}

func TestAlloysAreWellFormed(t *testing.T) {
	seen := map[string]bool{}
	for _, a := range Alloys() {
		if seen[a.ID] || a.Name == "" || a.Source == "" || !(0 < a.Low && a.Low < a.High) {
			t.Errorf("%+v", a)
		}
		if (a.Element == "") != (a.Permille == 0) || a.Element != "" && !IsStandard(a.Element, a.Permille) {
			t.Errorf("%s: no standard of %s at %d", a.ID, a.Element, a.Permille)
		}
		seen[a.ID] = true
	}
}

func TestAgrees(t *testing.T) {
	for _, c := range []struct {
		rho, u float64
		want   []string
	}{
		{7.98, 0.05, []string{"steel"}},
		{15.32, 0.08, []string{"gold18_yellow", "gold18_white", "gold18_rose"}},
		{4.5, 0.02, []string{"titanium"}},
		{19.3, 0.1, []string{"gold24", "platinum850", "tungsten"}},
		{6, 0.05, nil},
		{math.NaN(), 0.1, nil},
	} {
		var got []string
		for _, a := range Agrees(c.rho, c.u) {
			got = append(got, a.ID)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%g ± %g: %v, want %v", c.rho, c.u, got, c.want)
		}
	}
}

func TestWiderAgreesWithMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rho, u := rapid.Float64Range(2, 22).Draw(t, "rho"), rapid.Float64Range(0, 1).Draw(t, "u")
		wide := Agrees(rho, u+rapid.Float64Range(0, 1).Draw(t, "more"))
		for _, a := range Agrees(rho, u) {
			if !slices.Contains(wide, a) {
				t.Fatalf("%s agrees no longer", a.ID)
			}
		}
	})
}

func TestCompareMark(t *testing.T) {
	for _, c := range []struct {
		rho, u      float64
		element     string
		permille    int
		colour      string
		agrees, con bool
	}{
		{15.5, 0.05, Gold, 750, "", true, false},
		{13.1, 0.05, Gold, 750, "", false, true},
		{8.0, 0.05, Gold, 750, "", false, true},
		{14.27, 0.05, Gold, 750, "", false, false}, // 2.4 standard uncertainties under the white alloys
		{20.1, 0.2, Platinum, 950, "", true, false},
		{15.5, 5, Gold, 585, "", true, false},
		{14.6, 0.05, Gold, 750, "white", true, false},
		{14.6, 0.05, Gold, 750, "yellow", false, true}, // only a white recipe is so light
		// Finenesses without a listed recipe lie between their neighbours. By ideal mixing
		// of silver 10.49 and copper 8.96: silver 835 is 10.21, 900 is 10.32.
		{10.21, 0.03, Silver, 835, "", true, false},
		{10.32, 0.03, Silver, 900, "", true, false},
		{8.7, 0.05, Silver, 835, "", false, true},
		// Gold 833 with silver and copper in halves: 1/(0.833/19.32+0.0835/10.49+0.0835/8.96) = 16.53.
		{16.53, 0.05, Gold, 833, "yellow", true, false},
		{13.0, 0.05, Gold, 875, "yellow", false, true},
		{13.1, 0.05, Gold, 583, "yellow", true, false}, // the range of 585
	} {
		got, err := CompareMark(c.rho, c.u, c.element, c.permille, c.colour)
		if err != nil || got.Agrees != c.agrees || got.Contradicts != c.con || got.Says.IsZero() {
			t.Errorf("%g ± %g as %s %d: %+v, %v", c.rho, c.u, c.element, c.permille, got, err)
		}
	}
	for _, c := range [][2]float64{{math.NaN(), 0.1}, {15, -1}, {15, math.NaN()}, {0, 0.1}} {
		if _, err := CompareMark(c[0], c[1], Gold, 750, ""); !errors.Is(err, ErrInput) {
			t.Errorf("%v: %v", c, err)
		}
	}
	for element, permille := range map[string]int{"tin": 750, "": 0, Gold: 0} {
		if _, err := CompareMark(15, 0.1, element, permille, ""); !errors.Is(err, ErrInput) {
			t.Errorf("%s %d was taken", element, permille)
		}
	}
	// Exact weighing leaves no room.
	if c, err := CompareMark(13, 0, Gold, 750, ""); err != nil || !c.Contradicts {
		t.Errorf("%+v, %v", c, err)
	}
}

func BenchmarkCompareMark(b *testing.B) {
	for b.Loop() {
		if _, err := CompareMark(15.32, 0.08, Gold, 750, ""); err != nil {
			b.Fatal(err)
		}
	}
}
