package timing

import "math"

// Amplitude gives the amplitude of a balance in degrees from the time between
// unlocking and drop in seconds.
//
// The balance moves as θ(t) = A·sin(2πft) about rest. It passes from -λ/2
// (unlocking) to +λ/2 (drop), λ being the lift angle. By symmetry it is at rest in
// the middle, so λ/2 = A·sin(2πf·τ/2) and A = λ/(2·sin(πfτ)), with f the frequency
// of the balance, half the number of beats a second. Damping and a rest that is
// off the middle (beat error) are left out: both are of second order.
func Amplitude(liftDeg, beatsPerHour, unlockToDropS float64) float64 {
	return liftDeg / (2 * math.Sin(math.Pi*beatsPerHour/7200*unlockToDropS))
}

// liftTime is the time that belongs to an amplitude; the inverse of Amplitude.
func liftTime(liftDeg, beatsPerHour, amplitudeDeg float64) float64 {
	return math.Asin(math.Min(1, liftDeg/(2*amplitudeDeg))) / (math.Pi * beatsPerHour / 7200)
}

const (
	minAmplitude      = 110.0 // degrees looked for
	greatestAmplitude = 345.0
)

// onsetShare is how far up its rise a noise is timed: low, as its peak may come
// late where tones of the case beat against each other.
const onsetShare = 0.25

// burst is one noise inside the averaged beat.
type burst struct{ at, height float64 } // onset in values, height above the floor

// bursts finds the noises in an averaged beat: local maxima that stand out of the
// floor, each with the place where it has risen by onsetShare.
func bursts(p []float64, hz, least float64) []burst {
	w := max(2, int(0.0006*hz))
	var out []burst
	for i := 1; i+1 < len(p); i++ {
		if p[i] < least {
			continue
		}
		top := true
		for j := max(0, i-w); j <= min(len(p)-1, i+w) && top; j++ {
			top = p[j] < p[i] || j == i || (p[j] == p[i] && j > i)
		}
		if !top {
			continue
		}
		// the lowest place shortly before it: a noise may have several humps
		low := i
		for j := i - 1; j >= 0 && float64(i-j) <= 0.0013*hz; j-- {
			if p[j] < p[low] {
				low = j
			}
		}
		limit := p[low] + onsetShare*(p[i]-p[low])
		j := low
		for j < i && p[j] < limit {
			j++
		}
		if j == low {
			continue
		}
		at := float64(j) - (p[j]-limit)/(p[j]-p[j-1])
		out = append(out, burst{at, p[i]})
	}
	return out
}

// floorOf is the level and scatter of an averaged beat where the watch is silent:
// the quieter third.
func floorOf(p []float64) (level, sd float64) {
	ends := append(append([]float64(nil), p[:len(p)/8]...), p[len(p)-len(p)/12:]...)
	level = median(ends)
	abs := make([]float64, len(ends))
	for i, v := range ends {
		abs[i] = math.Abs(v - level)
	}
	return level, 1.4826 * median(abs)
}

// swing is one averaged beat, in s from the beginning of the profile.
type swing struct {
	unlock, drop float64
	noises       int // that stand out from the one to the other
}

func (s swing) lift() float64 { return s.drop - s.unlock }

// unlockToDrop reads the averaged beat: the first noise that stands out is the
// unlocking, the loudest at a possible distance after it the drop. Both are timed
// at the same share of their rise, so that the rise itself drops out.
func unlockToDrop(profile []float64, hz, liftDeg, beatsPerHour float64) (s swing, ok bool) {
	level, sd := floorOf(profile)
	p := make([]float64, len(profile))
	top := 0.0
	for i, v := range profile {
		if v > level {
			p[i] = math.Sqrt(v*v - level*level)
		}
		top = math.Max(top, p[i])
	}
	// a scatter of sd on the floor looks like this much above it
	noise := math.Sqrt(math.Max(0, (level+4.5*sd)*(level+4.5*sd)-level*level))
	if top < 2*noise || top == 0 {
		return swing{}, false
	}
	bs := bursts(p, hz, math.Max(0.06*top, 1.2*noise))
	least := liftTime(liftDeg, beatsPerHour, greatestAmplitude)
	most := liftTime(liftDeg, beatsPerHour, minAmplitude)
	for i, u := range bs {
		var drop *burst
		for j := i + 1; j < len(bs); j++ {
			d := (bs[j].at - u.at) / hz
			if d < least || d > most {
				continue
			}
			// an echo or a later hump must be clearly higher to be taken instead
			if drop == nil || bs[j].height > 1.15*drop.height &&
				((bs[j].at-drop.at)/hz > 0.002 || drop.height < 0.4*bs[j].height) {
				drop = &bs[j]
			}
		}
		if drop != nil && drop.height >= 0.3*top {
			s = swing{unlock: u.at / hz, drop: drop.at / hz}
			for _, b := range bs {
				if b.at >= u.at && b.at <= drop.at {
					s.noises++
				}
			}
			return s, true
		}
	}
	return swing{}, false
}
