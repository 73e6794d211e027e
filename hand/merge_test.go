package hand_test

import (
	"testing"

	"midcase/hand"
)

func TestMergeFollowsBoth(t *testing.T) {
	t.Parallel()
	const base = "A watch. It was made in 1965.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 9,000 EUR."
	cases := []struct {
		name, now, ours, want string
		take                  map[int]bool
		both                  bool
	}{
		{"nothing changed", base, "A fine watch.\n\nCase: scratches.", "A fine watch.\n\nCase: scratches.", nil, false},
		{"the price changed", "A watch. It was made in 1965.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 8,500 EUR.",
			"Our watch. It was made in 1965.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 9,000 EUR.",
			"Our watch. It was made in 1965.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 8,500 EUR.", nil, false},
		{"the price changed and we drop that", "A watch. It was made in 1965.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 8,500 EUR.",
			base, base, map[int]bool{0: false}, false},
		{"a finding came", "A watch. It was made in 1965.\n\nCase: scratches.\nBezel: dents.\nDial: lume intact.\n\nPrice: 9,000 EUR.",
			"A watch.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 9,000 EUR.",
			"A watch.\n\nCase: scratches.\nBezel: dents.\nDial: lume intact.\n\nPrice: 9,000 EUR.", nil, false},
		{"both changed a sentence", "A watch. It was made in 1966.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 9,000 EUR.",
			"A watch. It left the works in 1965.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 9,000 EUR.",
			"A watch. It left the works in 1965.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 9,000 EUR.", nil, true},
		{"both changed and theirs is taken", "A watch. It was made in 1966.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 9,000 EUR.",
			"A watch. It left the works in 1965.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 9,000 EUR.",
			"A watch. It was made in 1966.\n\nCase: scratches.\nDial: lume intact.\n\nPrice: 9,000 EUR.", map[int]bool{0: true}, true},
	}
	for _, c := range cases {
		got := hand.Merge(base, c.now, c.ours, c.take)
		if got.Text != c.want || got.Unsettled() != c.both {
			t.Errorf("%s: %v\n%s\nwant\n%s", c.name, got.Changes, got.Text, c.want)
		}
	}
}

// FuzzMerge: where the program's text did not change, ours stays; where ours did not, the
// program's is taken. Nothing makes it fail.
func FuzzMerge(f *testing.F) {
	f.Add("A. B.\nC.", "A. D.\nC.")
	f.Add("", "x")
	f.Add("One. Two. Three.", "Three. Two. One.")
	f.Fuzz(func(t *testing.T, a, b string) {
		a, b = hand.Plain(a), hand.Plain(b)
		if got := hand.Merge(a, a, b, nil); got.Text != b || len(got.Changes) > 0 {
			t.Errorf("nothing new and ours %q became %q", b, got.Text)
		}
		got := hand.Sentences(hand.Merge(a, b, a, nil).Text)
		want := hand.Sentences(b)
		if len(got) != len(want) {
			t.Fatalf("%q became %v; want %v", a, got, want)
		}
		for i := range got {
			if got[i].Text != want[i].Text {
				t.Errorf("sentence %d is %q; want %q", i, got[i].Text, want[i].Text)
			}
		}
	})
}
