package photo

import (
	"math"
	"slices"
)

// A hand is a narrow ridge from near the middle of the dial outwards: along its direction the colour differs from
// that on both its sides. The longest is the minute hand; the hour hand is the one, half to three quarters as long,
// that stands where the minute hand says.

const (
	handFrom    = 0.16 // of the dial's radius: within it lie hub and tail
	handBeside  = 0.1  // how far beside a direction its sides are compared
	leastRidge  = 5.0  // difference of colour
	minuteLeast = 0.6
	hourLeast   = 0.34
	leastHands  = 0.75
)

// findHands proposes hour and minute hand by their tips.
func (w watchSeen) findHands(dial unrolled) []FoundHand {
	seen, lengths := make([]float64, turns), make([]float64, turns)
	for a := range turns {
		seen[a] = dial.ridge(a)
	}
	for a := range turns { // one direction that an hour's mark makes longer says nothing
		var five [5]float64
		for d := range five {
			five[d] = seen[(a+d-2+turns)%turns]
		}
		lengths[a] = median(five[:])
	}
	peaks := peaksOf(lengths)
	var best [2]int
	top := 0.0
	for _, m := range peaks {
		if lengths[m] < minuteLeast {
			continue
		}
		for _, h := range peaks {
			ratio := lengths[h] / lengths[m]
			if h == m || lengths[h] < hourLeast || ratio > 0.9 || ratio < 0.4 {
				continue
			}
			// by the minute hand the hour hand stands so far beyond its hour
			should := math.Mod(float64(m)-w.twelve+720, 360) / 12
			is := math.Mod(float64(h)-w.twelve+720, 30)
			off := math.Abs(math.Remainder(is-should, 30))
			fits := math.Exp(-0.5 * off * off / (2.5 * 2.5))
			if v := fits * (wide(lengths, m)*lengths[m] + 0.5*wide(lengths, h)*lengths[h]); v > top {
				top, best = v, [2]int{h, m}
			}
		}
	}
	if top < leastHands {
		return nil
	}
	sure := min(0.95, top/1.25)
	var out []FoundHand
	for i, name := range [2]string{"hour", "minute"} {
		p := dial.shape.ray(float64(best[i]), lengths[best[i]])
		out = append(out, FoundHand{Name: name, Tip: w.toPx.Apply(p), Sure: sure * w.twelveSure})
	}
	return out
}

// ridge is how far out a direction differs from both its sides, in radii; 0 where it does not from near the middle on.
func (u unrolled) ridge(a int) float64 {
	last, gap := 0.0, 0.0
	for i := int(handFrom / u.step); i < min(int(0.97/u.step), u.columns); i++ {
		r := (float64(i) + 0.5) * u.step
		side := max(3, int(math.Round(math.Asin(min(1, handBeside/r))*180/math.Pi)))
		left, right := (a-side+turns)%turns, (a+side)%turns
		here := u.lab[a*u.columns+i]
		d := min(labDistance(here, u.lab[left*u.columns+i]), labDistance(here, u.lab[right*u.columns+i]))
		if d > leastRidge {
			last, gap = r, 0
			continue
		}
		if gap += u.step; gap > 0.03 {
			break
		}
	}
	return last
}

// wide is how plainly what lies in a direction is a hand of hours or minutes, which several directions cross, and not
// one of seconds or a tail: 0 to 1.
func wide(lengths []float64, a int) float64 {
	n := 0.0
	for d := -10; d <= 10; d++ {
		if lengths[(a+d+len(lengths))%len(lengths)] > 0.6*lengths[a] {
			n++
		}
	}
	return min(1, n/8)
}

// peaksOf are the directions in which what is long lies, the longest first, one for each within ten degrees.
func peaksOf(lengths []float64) []int {
	order := make([]int, len(lengths))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if lengths[a] != lengths[b] {
			return int(math.Copysign(1, lengths[b]-lengths[a]))
		}
		return 0
	})
	var out []int
	for _, a := range order {
		if lengths[a] < hourLeast || len(out) == 12 {
			break
		}
		near := slices.ContainsFunc(out, func(b int) bool {
			return math.Abs(math.Remainder(float64(a-b), 360)) < 10
		})
		if !near {
			out = append(out, middleOf(lengths, a))
		}
	}
	return out
}

// middleOf is the middle of the run of directions about one that are about as long.
func middleOf(lengths []float64, a int) int {
	lo, hi := a, a
	n := len(lengths)
	for hi-lo < 12 && lengths[(hi+1)%n] > 0.93*lengths[a] {
		hi++
	}
	for hi-lo < 12 && lengths[(lo-1+2*n)%n] > 0.93*lengths[a] {
		lo--
	}
	return ((lo+hi)/2 + n) % n
}
