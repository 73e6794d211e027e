package photo

import (
	"math"
	"slices"
)

// Plots that aged apart from the others are one class: those without an applied marker, as
// picked or as the book has it, else the quarters that a dial's furniture leaves bare. How
// far each of them went along the way from pale to brown differs more than the others do
// among themselves, and none is odd for that.

// bareHours are the classes tried where nothing says which plots have no marker: 3, 6 and 9 of which one
// may have a date window or a small dial, all quarters, or six and twelve. Common practice, no
// published source.
var bareHours = [][]int{{3, 6, 9}, {3, 6, 9, 12}, {6, 9}, {3, 9}, {3, 6}, {6, 12}}

// bestClass is the class that differs most surely from the others, with its shift, and the
// colours in even light. Where the class is known, no other is tried.
func bestClass(labs []Lab, at []Point, hours []int, class []bool, known bool) (in []bool, shift Lab,
	size, chance float64, even []Lab, fall float64) {
	even, fall = evenLight(labs, at, class)
	shift, size, chance = classShift(even, class)
	in = class
	if known {
		return in, shift, size, chance, even, fall
	}
	best := misfit(even, in, shift, size >= 1 && chance < classBelow)
	for _, set := range bareHours {
		try := make([]bool, len(hours))
		for i, h := range hours {
			try[i] = slices.Contains(set, h)
		}
		e, f := evenLight(labs, at, try)
		sh, sz, ch := classShift(e, try)
		// a class that was looked for must stand out more: be the most unlike of all choices of as
		// many plots, aged rather than fresh, and well beyond the scatter of the others
		apart := sz >= max(2, 3*scatterOf(e, try)) && ch <= 1.5*leastChance(try)
		if !apart || !aged(sh) || !allAged(e, try, sh) {
			continue
		}
		if m := misfit(e, try, sh, true); m < best-2 {
			best, in, shift, size, chance, even, fall = m, try, sh, sz, min(ch, classBelow/2), e, f
		}
	}
	return in, shift, size, chance, even, fall
}

// misfit is how badly a class explains the plots: the sum of squares of what is left, no
// plot counting beyond what an odd one may.
func misfit(labs []Lab, class []bool, shift Lab, apart bool) float64 {
	middle := medianOfRest(labs, class, apart)
	s := max(scatterOf(labs, class), minScatter)
	sum := 0.0
	for i, c := range labs {
		d := CIEDE2000(c, middle)
		if apart && class[i] {
			d = offClass(c, middle, shift)
		}
		sum += min(d*d/s/s, 25)
	}
	return sum
}

// aged reports whether a shift goes from pale to brown.
func aged(shift Lab) bool {
	return shift[0] < 0 && -shift[0] > math.Abs(shift[1])/2 || shift[2] > math.Abs(shift[0])
}

// allAged reports whether every plot of a class went a good part of the way of its shift: one
// repaired plot makes no class of itself and a neighbour.
func allAged(labs []Lab, class []bool, shift Lab) bool {
	middle := medianOfRest(labs, class, true)
	for i, c := range labs {
		along := 0.0
		for k := range shift {
			along += (c[k] - middle[k]) * shift[k]
		}
		if class[i] && along < 0.25*(shift[0]*shift[0]+shift[1]*shift[1]+shift[2]*shift[2]) {
			return false
		}
	}
	return true
}

// scatterOf is how far the plots outside a class lie from their median.
func scatterOf(labs []Lab, in []bool) float64 {
	_, rest := split(labs, in)
	if len(rest) == 0 {
		return 0
	}
	m := medianLab(rest)
	var d []float64
	for _, c := range rest {
		d = append(d, CIEDE2000(c, m))
	}
	return median(d)
}

// leastChance is the chance of a class that is the most unlike of all choices.
func leastChance(in []bool) float64 {
	n, k := len(in), 0
	for _, b := range in {
		if b {
			k++
		}
	}
	ways := 1.0
	for i := range k {
		ways *= float64(n-i) / float64(i+1)
	}
	return 1 / ways
}

// medianOfRest is the median colour of the plots, without those of a class that aged apart.
func medianOfRest(labs []Lab, class []bool, apart bool) Lab {
	if _, rest := split(labs, class); apart && len(rest) > 0 {
		return medianLab(rest)
	}
	return medianLab(labs)
}

// classSpread is the share of its shift by which plots of a class that aged apart differ among
// themselves, standard deviation. Common practice, no published source.
const classSpread = 0.35

// offClass is how far a plot of a class that aged apart lies off the way from the others to
// the class: across it as for any plot, along it in steps of the class's own spread.
func offClass(c, rest, shift Lab) float64 {
	size := math.Sqrt(shift[0]*shift[0] + shift[1]*shift[1] + shift[2]*shift[2])
	along := 0.0
	for k := range shift {
		along += (c[k] - rest[k]) * shift[k] / size
	}
	// the plot as it would be, had it aged as the class did
	back := along
	if own := classSpread * size; math.Abs(along-size) > 2*own {
		back = size + math.Copysign(2*own, along-size)
	}
	var q Lab
	for k := range q {
		q[k] = c[k] - back*shift[k]/size
	}
	return CIEDE2000(q, rest)
}

// chanceOdd is the chance that a plot is odd, from the share p of dials ageing alike with a
// plot as unlike: the most that such a p can speak for it (Sellke, Bayarri and Berger 2001), where
// one dial in five has a plot that is (common practice, no published source).
func chanceOdd(p float64) float64 {
	const before = 0.2
	odds := (1 - p) / (1 - 1/math.E)
	if p < 1/math.E {
		odds = 1 / (-math.E * max(p, 1e-12) * math.Log(max(p, 1e-12)))
	}
	return before * odds / (before*odds + 1 - before)
}
