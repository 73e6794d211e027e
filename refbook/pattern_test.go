package refbook

import (
	"slices"
	"testing"
)

func TestPatterns(t *testing.T) {
	for _, c := range []struct {
		text   string
		whole  bool
		ranges [][2]int64
	}{
		{"1 712 345", true, [][2]int64{{1712345, 1712345}}},
		{"A 12345", true, [][2]int64{{12345, 12345}}},
		{"X12345", true, [][2]int64{{12345, 12345}}},
		{"17xxxxx", false, [][2]int64{{1700000, 1799999}}},
		{"17?????", false, [][2]int64{{1700000, 1799999}}},
		{"A 17XX", false, [][2]int64{{1700, 1799}}},
		{"12?4", false, [][2]int64{{1204, 1204}, {1214, 1214}, {1224, 1224}, {1234, 1234}, {1244, 1244}, {1254, 1254},
			{1264, 1264}, {1274, 1274}, {1284, 1284}, {1294, 1294}}},
		{"?5x", false, [][2]int64{{150, 159}, {250, 259}, {350, 359}, {450, 459}, {550, 559}, {650, 659}, {750, 759},
			{850, 859}, {950, 959}}},
	} {
		p, err := ParsePattern(c.text)
		if err != nil || p.Whole() != c.whole || !slices.Equal(p.Ranges(), c.ranges) {
			t.Errorf("%s: %v, whole %v, %v", c.text, err, p.Whole(), p.Ranges())
		}
	}
	for _, text := range []string{"", "xxxx", "17…", "17..", "0", "seventeen", "12-4"} {
		if p, err := ParsePattern(text); err == nil {
			t.Errorf("%q is taken for %v", text, p)
		}
	}
}

func TestPatternsAgree(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"17xxxxx", "1 712 345", true}, {"17xxxxx", "1812345", false}, {"17xxxxx", "171234", false},
		{"1?3", "x23", true}, {"123", "A 0123", true}, {"123", "124", false},
	} {
		a, errA := ParsePattern(c.a)
		b, errB := ParsePattern(c.b)
		if errA != nil || errB != nil || a.Agrees(b) != c.want || b.Agrees(a) != c.want {
			t.Errorf("%s and %s: %v (%v, %v)", c.a, c.b, a.Agrees(b), errA, errB)
		}
	}
}

func FuzzPattern(f *testing.F) {
	for _, s := range []string{"17xxxxx", "1?2?3?4?5?6?7?8?9", "A 12345", "x", "?????????????????9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p, err := ParsePattern(text)
		if err != nil {
			return
		}
		before := int64(0)
		for _, r := range p.Ranges() {
			if r[0] <= before && before != 0 || r[1] < r[0] || r[0] < 1 {
				t.Fatalf("%q: %v", text, p.Ranges())
			}
			before = r[1]
		}
		if !p.Agrees(p) {
			t.Fatalf("%q does not agree with itself", text)
		}
	})
}
