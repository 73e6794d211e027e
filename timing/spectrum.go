package timing

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/dsp/fourier"
)

// spectrum gathers the power of a recording by frequency: to hear whether what lies above
// was cut off, as coders and telephones do.
type spectrum struct {
	rate  float64
	fft   *fourier.FFT
	block []float64
	power []float64
	n     int
}

const (
	spectrumN    = 2048
	spectrumMost = 400 // blocks, some 18 s at 44.1 kHz
	// cutDB is by how much the power falls at a cut, within cutWithinHz. Microphones and
	// rooms fall off slowly.
	cutDB       = 18.0
	cutWithinHz = 1200.0
)

func newSpectrum(rate float64) *spectrum {
	return &spectrum{rate: rate, fft: fourier.NewFFT(spectrumN), power: make([]float64, spectrumN/2+1)}
}

func (s *spectrum) feed(block []float32) {
	for _, v := range block {
		if s.n >= spectrumMost {
			return
		}
		if s.block = append(s.block, float64(v)); len(s.block) < spectrumN {
			continue
		}
		for i := range s.block { // Hann's window
			s.block[i] *= 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/spectrumN)
		}
		for i, c := range s.fft.Coefficients(nil, s.block) {
			s.power[i] += real(c)*real(c) + imag(c)*imag(c)
		}
		s.block = s.block[:0]
		s.n++
	}
}

// upTo is the frequency in Hz above which the recording carries nothing: half the sampling
// rate where nothing is cut off.
func (s *spectrum) upTo() float64 {
	hz := s.rate / spectrumN
	nyquist := s.rate / 2
	if s.n == 0 {
		return nyquist
	}
	half := int(cutWithinHz / 2 / hz)
	level := func(from, to int) float64 {
		return 10 * math.Log10(median(s.power[max(from, 0):min(to, len(s.power))])/float64(s.n)+1e-16)
	}
	best, at := 0.0, nyquist
	for i := int(2500 / hz); i+2*half < len(s.power); i++ {
		below, above := level(i-2*half, i-half), level(i+half, i+2*half)
		// all that lies above must be as empty
		if drop := below - above; drop > math.Max(best, cutDB) && below-highest(s.power[i+half:], s.n) > cutDB/2 {
			best, at = drop, float64(i)*hz
		}
	}
	return at
}

// highest is the level that one place in twenty passes, dB.
func highest(power []float64, n int) float64 {
	sorted := slices.Clone(power)
	slices.Sort(sorted)
	return 10 * math.Log10(sorted[len(sorted)*19/20]/float64(n)+1e-16)
}
