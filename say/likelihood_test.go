package say

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// order lists the phrases from the least likely to the most.
var order = []string{"almost certainly not", "very unlikely", "probably not", "less likely than not", "cannot tell",
	"more likely than not", "probably", "very likely", "almost certainly"}

func wordsOf(p float64) string { return Likelihood(p).String() }

func rank(words string) int {
	for i, w := range order {
		if w == words {
			return i
		}
	}
	return -1
}

func TestWordsAtTheirBounds(t *testing.T) {
	for p, want := range map[float64]string{
		0: "almost certainly not", 0.01: "almost certainly not", 0.0101: "very unlikely", 0.05: "very unlikely",
		0.0501: "probably not",
		0.20:   "probably not", 0.2001: "less likely than not", 0.40: "less likely than not", 0.4001: "cannot tell",
		0.5: "cannot tell", 0.5999: "cannot tell",
		0.60: "more likely than not", 0.80: "probably", 0.95: "very likely", 0.99: "almost certainly",
		1: "almost certainly",
	} {
		if got := wordsOf(p); got != want {
			t.Errorf("%g: %s, want %s", p, got, want)
		}
	}
	if wordsOf(math.NaN()) != "cannot tell" {
		t.Error("no number says something")
	}
}

func TestWordsAreMonotoneAndMirrored(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := rapid.Float64Range(0, 1).Draw(t, "p"), rapid.Float64Range(0, 1).Draw(t, "q")
		if p > q {
			p, q = q, p
		}
		if rank(wordsOf(p)) < 0 || rank(wordsOf(p)) > rank(wordsOf(q)) {
			t.Fatalf("%g is %s, %g is %s", p, wordsOf(p), q, wordsOf(q))
		}
		// The middle of a range mirrors; at a bound, rounding may decide.
		m := math.Round(p*1000)/1000 + 0.0005
		if m < 1 && rank(wordsOf(m))+rank(wordsOf(1-m)) != len(order)-1 {
			t.Fatalf("%g is %s, %g is %s", m, wordsOf(m), 1-m, wordsOf(1-m))
		}
	})
}
