package gate

import (
	"math"
	"strconv"
	"strings"

	"midcase/say"
)

// figure writes a number as a person would type it.
func figure(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// exact is a measure with the decimals that it was typed with, two at most.
func exact(name string, v float64, u say.Unit) say.Arg {
	decimals := 2
	for decimals > 1 && math.Abs(v*math.Pow10(decimals-1)-math.Round(v*math.Pow10(decimals-1))) < 1e-9 {
		decimals--
	}
	return say.Fixed(name, v, u, decimals)
}

// slips are what a figure may have been meant as: its decimal point elsewhere, two figures
// that stand side by side transposed.
func slips(v float64) []string {
	var out []string
	for _, by := range []float64{10, 0.1, 100, 0.01} {
		out = append(out, figure(math.Round(v*by*1e4)/1e4))
	}
	return append(out, swapped(figure(v))...)
}

// swapped are the figures of a number with two neighbours transposed, also across the
// decimal point.
func swapped(typed string) []string {
	var out []string
	digits := []byte(typed)
	for i := range digits {
		j := i + 1
		if j < len(digits) && digits[j] == '.' {
			j++
		}
		if j >= len(digits) || digits[i] == '.' || digits[i] == digits[j] {
			continue
		}
		s := append([]byte(nil), digits...)
		s[i], s[j] = s[j], s[i]
		if s[0] != '0' || strings.HasPrefix(string(s), "0.") {
			out = append(out, string(s))
		}
	}
	return out
}

// near is the one of the candidates that lies nearest to a figure, within a distance; empty
// where none does.
func near(candidates []string, to, within float64) string {
	best, at := "", within
	for _, c := range candidates {
		if v, err := strconv.ParseFloat(c, 64); err == nil && math.Abs(v-to) <= at {
			best, at = c, math.Abs(v-to)
		}
	}
	return best
}

// inside is the one slip of a figure that lies in a range; empty where none or several do.
func inside(v float64, r [2]float64) string {
	out := ""
	for _, c := range slips(v) {
		if x, err := strconv.ParseFloat(c, 64); err == nil && x >= r[0] && x <= r[1] {
			if out != "" {
				return ""
			}
			out = c
		}
	}
	return out
}
