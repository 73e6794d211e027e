package metal

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"midcase/money"
	"midcase/say"
	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.8g, want %.8g ± %.2g", what, got, want, tolerance)
	}
}

func TestFineWeight(t *testing.T) {
	parts := []Part{
		{Name: "case", G: 20, UG: 0.3, Permille: 750},
		{Name: "bracelet", G: 40, UG: 0.4, Permille: 740, UPermille: 5, Tested: true, FineShare: 0.95},
		{Name: "back", G: 10, Permille: 0},
		{Name: "clasp", G: 5, UG: 0.5, Permille: 750, Nominal: true},
	}
	before := slices.Clone(parts)
	f, err := FineWeight(parts)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "fine", f.G, 15+28.12+3.75, 1e-9)
	near(t, "gross", f.GrossG, 65, 1e-9)
	// By hand: 0.3·0.75; 0.95·√((0.4·0.74)²+(40·0.005)²); 0.5·0.75.
	near(t, "uncertainty", f.UG, math.Sqrt(math.Pow(0.225, 2)+math.Pow(0.95,
		2)*(math.Pow(0.296, 2)+0.04)+math.Pow(0.375, 2)), 1e-9)
	if len(f.Parts) != 3 || f.Parts[1].Fineness != "tested" || f.Parts[2].From != "nominal weight" ||
		f.Element != Gold {
		t.Errorf("parts %+v", f.Parts)
	}
	if len(f.Says) != 2 {
		t.Errorf("says %q", say.Strings(f.Says))
	}
	if !slices.Equal(before, parts) {
		t.Error("the parts were changed")
	}
}

func TestFineWeightErrors(t *testing.T) {
	for field, part := range map[string]Part{
		`parts[0] "case".g`:           {Name: "case", G: -1, Permille: 750},
		`parts[0] "".g`:               {G: math.NaN(), Permille: 750},
		`parts[0] "".u_g`:             {G: 1, UG: -1},
		`parts[0] "".permille`:        {G: 1, Permille: 1001},
		`parts[0] "".u_permille`:      {G: 1, UPermille: math.NaN()},
		`parts[0] "bezel".fine_share`: {Name: "bezel", G: 1, FineShare: 1.1},
	} {
		if _, err := FineWeight([]Part{part}); !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), field+":") {
			t.Errorf("%s: %v", field, err)
		}
	}
	_, err := FineWeight([]Part{{Name: "case", G: 1, Permille: 950, Element: Platinum},
		{Name: "bezel", G: 1, Permille: 750}})
	if !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), `parts[1] "bezel".element`) {
		t.Errorf("two elements: %v", err)
	}
	if f, err := FineWeight(nil); err != nil || f.G != 0 {
		t.Errorf("no parts: %+v, %v", f, err)
	}
}

func TestFineWeightNeverAboveGross(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOf(rapid.Custom(func(t *rapid.T) Part {
			return Part{G: rapid.Float64Range(0.01, 200).Draw(t, "g"), UG: rapid.Float64Range(0, 1).Draw(t, "u"),
				Permille:  rapid.Float64Range(0, 1000).Draw(t, "permille"),
				FineShare: rapid.Float64Range(0, 1).Draw(t, "share")}
		})).Draw(t, "parts")
		f, err := FineWeight(parts)
		if err != nil {
			t.Fatal(err)
		}
		if f.G > f.GrossG*(1+1e-12) || f.Interval90.Low() > f.G || f.Interval90.High() < f.G {
			t.Fatalf("%+v", f)
		}
	})
}

// 30 g of 750 at 2,000 an ounce: 22.5/31.1034768·2000 = 1446.78. A troy ounce is
// 480 grains of 64.79891 mg.
func TestMeltFloor(t *testing.T) {
	near(t, "troy ounce", TroyOunceG, 480*0.06479891, 1e-12)
	f, err := MeltFloor(22.5, 0.1, money.MustParse("2000", "USD"), 1)
	if err != nil || f.Amount.String() != "1446.78 USD" {
		t.Errorf("got %s, %v", f.Amount, err)
	}
	near(t, "low", f.Low.Float(), 1446.78*(22.5-0.16449)/22.5, 0.02)
	near(t, "high", f.High.Float(), 1446.78*(22.5+0.16449)/22.5, 0.02)
	half, err := MeltFloor(22.5, 0, money.MustParse("2000", "JPY"), 0.5)
	if err != nil || half.Amount.String() != "723 JPY" || half.Low != half.Amount {
		t.Errorf("got %+v, %v", half, err)
	}
	if !strings.Contains(f.Says.String(), "never a price for the watch") {
		t.Error(f.Says.String())
	}
}

func TestMeltFloorErrors(t *testing.T) {
	spot := money.MustParse("2000", "EUR")
	for name, call := range map[string]func() (Floor, error){
		"fine_g":              func() (Floor, error) { return MeltFloor(math.NaN(), 0, spot, 1) },
		"u_g":                 func() (Floor, error) { return MeltFloor(1, -1, spot, 1) },
		"spot per troy ounce": func() (Floor, error) { return MeltFloor(1, 0, spot.Neg(), 1) },
		"payout":              func() (Floor, error) { return MeltFloor(1, 0, spot, 1.2) },
	} {
		if _, err := call(); !errors.Is(err, ErrInput) || !strings.Contains(err.Error(), name+":") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := MeltFloor(1, 0, money.Money{}, 1); err == nil {
		t.Error("no spot price was taken")
	}
}
