package metal

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Handbook values of the density of water to five decimals, from memory; editions
// differ by one in the last.
func TestWaterDensity(t *testing.T) {
	for temp, want := range map[float64]float64{4: 0.99997, 15: 0.99910, 20: 0.99820, 25: 0.99705, 30: 0.99565} {
		got, err := WaterDensity(temp)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "water", got, want, 1e-5)
	}
	for _, temp := range []float64{-1, 41, math.NaN()} {
		if _, err := WaterDensity(temp); !errors.Is(err, ErrInput) {
			t.Errorf("%g °C: %v", temp, err)
		}
	}
}

// By the formula of a balance maker's density kit: 20.000 g and 18.700 g in water
// of 25 °C, each ± 0.005 g, give 15.32 ± 0.08.
func TestDensity(t *testing.T) {
	d, err := Density(20.000, 0.005, 18.700, 0.005, 25)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "density", d.GPerCM3, 15.32, 0.005)
	near(t, "uncertainty", d.U, 0.08, 0.003)
	near(t, "volume", d.VolumeCM3, 20/15.32, 0.001)
}

// A part of known density and volume, weighed in thought, comes out again.
func TestDensityOfKnownPart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rho := rapid.Float64Range(2, 22).Draw(t, "rho")
		volume := rapid.Float64Range(0.1, 20).Draw(t, "volume")
		temp := rapid.Float64Range(4, 35).Draw(t, "temp")
		water, err := WaterDensity(temp)
		if err != nil {
			t.Fatal(err)
		}
		// What a balance shows is the mass less what is displaced.
		d, err := Density((rho-AirDensity)*volume, 0.01, (rho-water)*volume, 0.01, temp)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(d.GPerCM3-rho) > 1e-9 || math.Abs(d.VolumeCM3-volume) > 1e-9 {
			t.Fatalf("density %g, want %g; volume %g, want %g", d.GPerCM3, rho, d.VolumeCM3, volume)
		}
	})
}

// The propagated uncertainty is that of the numerical derivatives.
func TestDensityUncertainty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		air := rapid.Float64Range(5, 100).Draw(t, "air")
		water := air * rapid.Float64Range(0.7, 0.95).Draw(t, "share")
		ua, uw := rapid.Float64Range(0.001, 0.05).Draw(t, "ua"), rapid.Float64Range(0.001, 0.05).Draw(t, "uw")
		rho := func(a, w float64) float64 {
			d, err := Density(a, ua, w, uw, 20)
			if err != nil {
				t.Fatal(err)
			}
			return d.GPerCM3
		}
		d, _ := Density(air, ua, water, uw, 20)
		const h = 1e-5
		da := (rho(air+h, water) - rho(air-h, water)) / (2 * h)
		dw := (rho(air, water+h) - rho(air, water-h)) / (2 * h)
		want := math.Sqrt(math.Pow(da*ua, 2) + math.Pow(dw*uw, 2) + math.Pow(air*uWaterDensity/(air-water), 2))
		if math.Abs(d.U-want) > 2e-3*want {
			t.Fatalf("u %g, want %g", d.U, want)
		}
	})
}

func TestDensityErrors(t *testing.T) {
	for field, in := range map[string][5]float64{
		"air_g":        {-20, 0.005, 18.7, 0.005, 20},
		"water_g":      {20, 0.005, 20, 0.005, 20},
		"u_air":        {20, -0.005, 18.7, 0.005, 20},
		"u_water":      {20, 0.005, 18.7, math.NaN(), 20},
		"water_temp_c": {20, 0.005, 18.7, 0.005, 80},
	} {
		_, err := Density(in[0], in[1], in[2], in[3], in[4])
		if !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), field+":") {
			t.Errorf("%s: %v", field, err)
		}
	}
	if _, err := Density(math.NaN(), 0, 1, 0, 20); err == nil {
		t.Error("NaN was taken")
	}
	if _, err := Density(20, 0, 0, 0, 20); err == nil {
		t.Error("0 g in water was taken")
	}
}
