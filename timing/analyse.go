package timing

import (
	"errors"
	"fmt"
	"iter"
	"math"
	"slices"
)

const (
	minRate      = 8000.0 // Hz
	greatestRate = 192000.0
	minSeconds   = 4.0
	// stretchS is how much sound is looked at in one go, holdS how much more must be
	// there before a stretch is closed. Memory does not grow with the recording.
	stretchS = 30.0
	holdS    = 10.0
)

// Analyse reads a recording: mono samples from -1 to 1 at a sampling rate in Hz
// (8,000 to 192,000), at least four seconds. It is an error when the sampling rate is
// out of range, the recording too short, or a sample is not a finite number. A
// recording without a watch is no error: Heard is false and Reason says why.
func Analyse(pcm []float32, rate float64, o Options) (Analysis, error) {
	return AnalyseStream(func(yield func([]float32, error) bool) {
		const block = 1 << 15
		for i := 0; i < len(pcm); i += block {
			if !yield(pcm[i:min(i+block, len(pcm))], nil) {
				return
			}
		}
	}, rate, o)
}

// AnalyseStream is Analyse on blocks as they come; an error of the stream is
// returned as it is, wrapped. Blocks are not kept and not changed.
func AnalyseStream(blocks iter.Seq2[[]float32, error], rate float64, o Options) (Analysis, error) {
	if err := checkOptions(rate, o); err != nil {
		return Analysis{}, err
	}
	e := &ear{rate: rate, o: o, bands: bandsFor(rate), spectrum: newSpectrum(rate), commonLift: o.LiftAngleDeg == 0}
	if e.commonLift {
		e.o.LiftAngleDeg = 52
	}
	for block, err := range blocks {
		if early := endsEarly(nil); errors.As(err, &early) {
			e.cut = early
			break
		}
		if err != nil {
			return Analysis{}, fmt.Errorf("timing: %w", err)
		}
		if err := e.take(block); err != nil {
			return Analysis{}, err
		}
	}
	if e.samples == 0 {
		return Analysis{}, errors.New("timing: the recording has no samples")
	}
	if e.seconds() < minSeconds {
		return Analysis{}, fmt.Errorf("timing: the recording lasts %.1f s; at least %.0f s are needed", e.seconds(),
			minSeconds)
	}
	e.close()
	e.upTo = e.spectrum.upTo()
	return e.result(), nil
}

// endsEarly is the error of a stream that stops before its end, in seconds: what came before
// is good.
type endsEarly interface {
	error
	EndsEarly() (have, want float64)
}

func checkOptions(rate float64, o Options) error {
	if !(rate >= minRate && rate <= greatestRate) {
		return fmt.Errorf("timing: sampled at %v Hz; right would be %v to %v Hz", rate, minRate, greatestRate)
	}
	return o.Check()
}

// Check says what is wrong with the options, if anything.
func (o Options) Check() error {
	if o.BeatsPerHour != 0 && !(o.BeatsPerHour >= 9000 && o.BeatsPerHour <= 45000) {
		return fmt.Errorf("timing: %v beats an hour; right would be 9000 to 45000, or 0 to find it", o.BeatsPerHour)
	}
	if o.LiftAngleDeg != 0 && !(o.LiftAngleDeg >= 20 && o.LiftAngleDeg <= 90) {
		return fmt.Errorf("timing: lift angle %v°; right would be 20 to 90, or 0 for the common 52", o.LiftAngleDeg)
	}
	if !(math.Abs(o.ClockPPM) <= 2000) || !(o.ClockPPMSE >= 0 && o.ClockPPMSE <= 2000) {
		return fmt.Errorf("timing: clock correction %v ± %v ppm; right would be within 2000", o.ClockPPM, o.ClockPPMSE)
	}
	return nil
}

// ear is an analysis in progress.
type ear struct {
	rate float64
	o    Options
	// the lift angle was not given, and a common one is taken
	commonLift bool
	bands      []*band // all while searching, one once a watch is heard
	samples    int
	peak       float32
	clipped    int
	from       float64 // s, where the envelope now held begins
	early      bool    // whether the early search was made
	heard      *beatGuess
	l          listener
	best       beatGuess // the best of what was not good enough
	parts      []part
	noise      float64 // sums of power over values, for the ratio of signal to noise
	power      float64
	values     float64
	cut        endsEarly // why the recording ends before its end
	spectrum   *spectrum
	upTo       float64 // Hz; what lies above was cut off
}

// part is one stretch, followed.
type part struct {
	from, to float64
	fit      lineFit
	onsets   onsets
	is       character
}

func (e *ear) seconds() float64 { return float64(e.samples) / e.rate }

func (e *ear) take(block []float32) error {
	for i, v := range block {
		if v != v || v > math.MaxFloat32 || v < -math.MaxFloat32 {
			return fmt.Errorf("timing: sample %d is %v; samples must be finite numbers", e.samples+i, v)
		}
		if v < 0 {
			v = -v
		}
		if v > e.peak {
			e.peak = v
		}
		if v >= 0.9999 {
			e.clipped++
		}
	}
	e.samples += len(block)
	e.spectrum.feed(block)
	for _, b := range e.bands {
		b.feed(block)
	}
	held := float64(len(e.bands[0].env)) / e.hz()
	if held >= earlyS && !e.early && e.heard == nil {
		e.early = true
		e.search(len(e.bands[0].env), earlyStrength)
	}
	if held >= stretchS+holdS {
		e.stretch(int(stretchS * e.hz()))
	}
	return nil
}

func (e *ear) hz() float64 { return e.rate / float64(e.bands[0].step) }

// close works through what is left.
func (e *ear) close() {
	if n := len(e.bands[0].env); float64(n)/e.hz() >= minSeconds-0.5 || e.heard != nil {
		e.stretch(n)
	}
}

// stretch analyses the first n values of the envelope and lets them go, all but
// enough to lose no beat.
func (e *ear) stretch(n int) {
	if e.heard == nil {
		e.search(n, minStrength)
	}
	keep := 0
	if e.heard != nil {
		if e.l.template[0] == nil {
			e.begin(n)
		}
		e.follow(e.bands[0].env[:n])
		keep = int(2.2 * e.l.reach * e.hz())
	}
	drop := max(0, n-keep)
	e.from += float64(drop) / e.hz()
	for _, b := range e.bands {
		b.env = append(b.env[:0], b.env[drop:]...)
	}
}

// Least strength at which a watch counts as heard: chance alone stays well below
// (see the study in docs/methods/timing.md).
const (
	minStrength     = 0.055
	minStrengthFree = 0.12
	// a watch this clear is settled on after the first seconds, which spares the
	// other bands
	earlyStrength = 0.15
	earlyS        = 11.0
)

// search listens in every band for a beat and keeps the band that hears it best.
func (e *ear) search(n int, least float64) {
	if e.peak == 0 {
		return
	}
	rates := StandardBeats()
	if e.o.BeatsPerHour > 0 {
		rates = []float64{e.o.BeatsPerHour}
	}
	var best beatGuess
	var in *band
	for _, b := range e.bands {
		p := periodicityOf(b.env[:n], e.hz())
		g := p.guess(rates)
		if e.o.Free && e.o.BeatsPerHour == 0 {
			if f := p.free(); f.strength > 1.3*g.strength && f.strength > minStrengthFree {
				g = f
			}
		}
		if in == nil || g.strength > best.strength {
			best, in = g, b
		}
	}
	e.best = best
	if best.strength < least || best.period <= 0 {
		return
	}
	if e.o.BeatsPerHour == 0 {
		best = best.doubled(compressed(smoothed(in.env[:n], smoothing(e.hz()))), e.hz(), rates)
	}
	e.heard = &best
	in.env = slices.Grow(in.env, max(0, int((stretchS+holdS+1)*e.hz())-len(in.env)))
	e.bands = []*band{in}
}

// begin sets the listener on the first beats, with the period tuned over the whole
// stretch.
func (e *ear) begin(n int) {
	env := e.bands[0].env[:n]
	p := periodicityOf(env, e.hz())
	T := p.tune(e.heard.period, 2.5e-4, float64(len(p.acf)-1)/p.hz)
	reach := math.Min(1.1*liftTime(e.o.LiftAngleDeg, 3600/T, 130), 0.40*T)
	e.l = listener{hz: e.hz(), period: T, reach: reach}
	e.l.start(compressed(smoothed(env, smoothing(e.hz()))))
	e.l.phase += e.from
}

// follow matches the beats of a stretch and reads the amplitude from it.
func (e *ear) follow(env []float64) {
	sm := smoothed(env, smoothing(e.hz()))
	y := compressed(sm)
	bs := e.l.follow(y, e.from, len(e.parts) == 0)
	if len(bs) < 6 {
		return
	}
	p := part{from: bs[0].at, to: bs[len(bs)-1].at, fit: fitLine(bs)}
	at := steady(bs, p.fit)
	h := int(e.l.reach * e.l.hz)
	p.onsets = e.onsets(sm, at, bs, p.fit, h)
	p.is = e.characterOf(sm, at, bs, p.fit)
	e.level(sm, at, h)
	e.parts = append(e.parts, p)
}

// level measures the power between the beats and overall.
func (e *ear) level(sm, at []float64, h int) {
	quiet := make([]float64, 0, len(at)*8)
	for _, t := range at {
		mid := int((t + e.l.period/2 - e.from) * e.l.hz)
		for i := mid - 4; i < mid+4; i++ {
			if i >= 0 && i < len(sm) {
				quiet = append(quiet, sm[i]*sm[i])
			}
		}
	}
	if len(quiet) == 0 {
		return
	}
	e.noise += median(quiet) * 1.1 * float64(len(sm)) // the median lies below the mean
	for _, v := range sm {
		e.power += v * v
	}
	e.values += float64(len(sm))
}
