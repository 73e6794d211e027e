package edtf

import "testing"

func TestShortest(t *testing.T) {
	for in, want := range map[string]string{"1968-05/1968-05": "1968-05", "1968-05/1969-01": "1968-05/1969-01",
		"1968": "1968", "1968/..": "1968/..", "": ""} {
		got := Shortest(in)
		if got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
		if got == "" {
			continue
		}
		a, err := Parse(in)
		b, err2 := Parse(got)
		first, _ := a.First()
		same, _ := b.First()
		if err != nil || err2 != nil || !first.Equal(same) {
			t.Errorf("%q and %q begin on %v and %v (%v, %v)", in, got, first, same, err, err2)
		}
	}
}
