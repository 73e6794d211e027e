package originstudy

import "testing"

// The figures of two fixed seeds. Standard errors over 2,000 watches: coverage
// 0.7 points, AUC about 0.002.
func TestSwappedPartsAreFoundAndDatesCovered(t *testing.T) {
	for _, c := range []struct {
		swap Swap
		seed uint64
		auc  float64
	}{
		{Apart, 1, 0.97},
		{Apart, 2, 0.97},
		{Any, 3, 0.95},
		{Overlapping, 4, 0.70},
	} {
		f, err := Run(2000, c.seed, c.swap)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%v, seed %d: %v", c.swap, c.seed, f)
		if f.AUC < c.auc {
			t.Errorf("%v, seed %d: AUC %.4f, want %.2f or more", c.swap, c.seed, f.AUC, c.auc)
		}
		if f.Coverage < 0.88 || f.Coverage > 0.94 {
			t.Errorf("%v, seed %d: the 90 %% interval covers %.3f, want 0.88 to 0.94", c.swap, c.seed, f.Coverage)
		}
		if f.NumberLow < 0.05 || f.NumberLow > 0.15 {
			t.Errorf("%v, seed %d: %.3f of right numbers have a surprise below 0.1", c.swap, c.seed, f.NumberLow)
		}
	}
}

// Worlds that a plain model would not do for, 500 watches each: one standard error of
// the coverage is 1.3 points. Where every change of the book is two years off, the model
// is wrong in all that it is told, and where nothing but a number counted anew dates the
// watch, one range has to bridge two peaks; their limits are wider.
func TestHardWorlds(t *testing.T) {
	for _, c := range []struct {
		name       string
		world      World
		auc, found float64
		cover      [2]float64
	}{
		{"plain", World{}, 0.98, 0.95, [2]float64{0.86, 0.94}},
		{"counted anew every four years", World{AnewMonths: 48}, 0.98, 0.95, [2]float64{0.86, 0.94}},
		{"counted anew every six years, number only", World{AnewMonths: 72, NumberOnly: true}, 0, 0,
			[2]float64{0.86, 0.96}},
		{"donor", World{Donor: true}, 0.97, 0.90, [2]float64{0.86, 0.94}},
		{"three changes in ten two years off", World{WrongWindows: 0.3}, 0.96, 0.85, [2]float64{0.86, 0.94}},
		{"all changes two years off", World{WrongWindows: 1}, 0.88, 0.50, [2]float64{0.80, 0.94}},
		{"markets", World{Markets: true}, 0.97, 0.90, [2]float64{0.86, 0.94}},
	} {
		f, err := RunIn(c.world, 500, 7)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %v", c.name, f)
		if f.AUC < c.auc || f.Found < c.found || f.Coverage < c.cover[0] || f.Coverage > c.cover[1] {
			t.Errorf("%s: want AUC %.2f, found %.2f and coverage of %v", c.name, c.auc, c.found, c.cover)
		}
	}
}

// The area under the ROC curve of a small case by hand: of six pairs, three are in
// order and one is tied.
func TestAUCByHand(t *testing.T) {
	if got := auc([]float64{0.4, 0.8}, []float64{0.1, 0.4, 0.9}); got != 3.5/6 {
		t.Errorf("got %v, want 3.5/6", got)
	}
}

func TestSameSeedSameFigures(t *testing.T) {
	a, errA := Run(100, 9, Apart)
	b, errB := Run(100, 9, Apart)
	if errA != nil || errB != nil || a != b {
		t.Errorf("%+v (%v) and %+v (%v)", a, errA, b, errB)
	}
}

// BenchmarkPlantedSwaps prints the figures of the study.
func BenchmarkPlantedSwaps(b *testing.B) {
	for _, s := range []Swap{Apart, Any, Overlapping} {
		b.Run(s.String(), func(b *testing.B) {
			var f Figures
			for b.Loop() {
				var err error
				if f, err = Run(2000, 1, s); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(f.AUC, "AUC")
			b.ReportMetric(100*f.Coverage, "%covered90")
			b.ReportMetric(f.MeanMonths, "months90")
			b.ReportMetric(0, "ns/op")
		})
	}
}
