package conditionstudy

import "testing"

// The ranges promise 90 %. Standard errors are 0.7 points at 2,000 and 1 point at 1,000.
const least, most = 0.86, 0.945

func holds(t *testing.T, what string, h Held, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%s, %v", what, h)
	if h.Held < least || h.Held > most {
		t.Errorf("%s: the 90 %% range holds %.3f, want %.2f to %.3f", what, h.Held, least, most)
	}
}

func TestGradesAreHeld(t *testing.T) {
	for _, m := range Manners {
		overall, bySlot, err := Grades(2000, 1, m)
		holds(t, "overall grade, "+m.String(), overall, err)
		holds(t, "grade of a part, "+m.String(), bySlot, err)
	}
}

func TestFineWeightsAreHeld(t *testing.T) {
	for _, w := range Weighings {
		h, err := FineWeights(1000, 2, w)
		holds(t, "fine weight, "+w.String(), h, err)
	}
}

func TestDensitiesAndLossesAreHeld(t *testing.T) {
	h, err := Densities(4000, 3)
	holds(t, "density", h, err)
	h, err = Losses(4000, 3)
	holds(t, "material taken off", h, err)
}

func TestSameSeedSameFigures(t *testing.T) {
	a, _, errA := Grades(50, 9, Hasty)
	b, _, errB := Grades(50, 9, Hasty)
	if errA != nil || errB != nil || a != b {
		t.Errorf("%v (%v) and %v (%v)", a, errA, b, errB)
	}
}
