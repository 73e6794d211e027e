package timing

import (
	"errors"
	"fmt"
	"iter"
	"math"

	"midcase/say"
)

// ClockReading is how far the recorder's clock is off: PPM is what to set as
// Options.ClockPPM, with its standard error.
type ClockReading struct {
	PPM     float64 `json:"ppm"`
	SE      float64 `json:"se"`
	Beats   int     `json:"beats"`
	Seconds float64 `json:"seconds"`
	// Of is what was heard: ticks as of a quartz watch, or pips of a tenth of a second.
	Of    string          `json:"of"`
	Notes []say.Statement `json:"notes"`
}

// doubtPPM is how far no quartz clock that is in order is off: recorders keep within 50
// parts in a million, wrong by a sampling rate they are 1,000 and more (common practice, no
// published source).
const doubtPPM = 100.0

const (
	clockLeastS = 20.0
	clockMostS  = 300.0 // more sound than this tells no more
)

// Clock measures the recorder's clock by a recording of a reference that gives one
// short sound a second: a quartz watch or clock, or time pips. The reference is
// taken as right, within refPPMSE parts in a million (a quartz watch that is 10 s a
// month off is about 4 ppm off), which is part of the standard error. It needs
// twenty seconds, and a minute or more to be of use; the first five minutes are
// used. It is an error when no steady second is heard.
func Clock(pcm []float32, rate, refPPMSE float64) (ClockReading, error) {
	return ClockStream(func(yield func([]float32, error) bool) { yield(pcm, nil) }, rate, refPPMSE)
}

// ClockStream is Clock on blocks as they come. Blocks are not kept and not changed.
func ClockStream(blocks iter.Seq2[[]float32, error], rate, refPPMSE float64) (ClockReading, error) {
	if err := checkOptions(rate, Options{}); err != nil {
		return ClockReading{}, err
	}
	if !(refPPMSE >= 0 && refPPMSE <= 2000) {
		return ClockReading{}, fmt.Errorf("timing: the reference is right within %v ppm; right would be 0 to 2000",
			refPPMSE)
	}
	bands := bandsFor(rate)
	samples := 0
	for block, err := range blocks {
		if early := endsEarly(nil); errors.As(err, &early) {
			break
		}
		if err != nil {
			return ClockReading{}, fmt.Errorf("timing: %w", err)
		}
		block = block[:min(len(block), int(clockMostS*rate)-samples)]
		for i, v := range block {
			if v != v || math.IsInf(float64(v), 0) {
				return ClockReading{}, fmt.Errorf("timing: sample %d is %v; samples must be finite numbers", samples+i,
					v)
			}
		}
		for _, b := range bands {
			b.feed(block)
		}
		if samples += len(block); float64(samples) >= clockMostS*rate {
			break
		}
	}
	seconds := float64(samples) / rate
	if seconds < clockLeastS {
		return ClockReading{}, fmt.Errorf("timing: the clock recording lasts %.1f s; at least %.0f s are needed",
			seconds, clockLeastS)
	}
	var best lineFit
	n, lasts := 0, 0.0
	for _, b := range bands {
		f, k, c := secondsIn(b, rate/float64(b.step))
		if k > 0 && (n == 0 || f.sigma < best.sigma) {
			best, n, lasts = f, k, c.lasts
		}
	}
	if n == 0 {
		return ClockReading{}, fmt.Errorf("timing: no steady beat of one a second is heard in the clock recording; " +
			"music, speech and mains hum are no reference: record a quartz watch or time pips")
	}
	out := ClockReading{PPM: round((best.period-1)*1e6, 3), SE: round(math.Hypot(best.sePeriod*1e6, refPPMSE), 3),
		Beats: n, Seconds: round(seconds, 3), Of: "ticks", Notes: []say.Statement{}}
	if lasts > pipS {
		out.Of = "pips"
	}
	if math.Abs(out.PPM) > doubtPPM {
		out.Notes = append(out.Notes, say.That("sound.clock-far", say.Fixed("ppm", math.Abs(out.PPM), say.None, 0)))
	}
	return out, nil
}

// pipS is how long a pip lasts at least; the tick of a quartz watch is over before.
const pipS = 0.040

// secondsIn fits the pips of one band; 0 beats where they are not steady, or where what
// sounds every second is music.
func secondsIn(b *band, hz float64) (lineFit, int, character) {
	sm := smoothed(b.env, 5)
	y := compressed(sm)
	p := periodicityOf(b.env, hz)
	T := p.tune(1, 0.0025, math.Min(20, float64(len(p.acf)-1)/p.hz))
	if p.strength(T, math.Min(20, float64(len(p.acf)-1)/p.hz)) < 0.10 {
		return lineFit{}, 0, character{}
	}
	l := listener{hz: hz, period: T, reach: 0.03}
	l.start(y)
	bs := l.follow(y, 0, true)
	if len(bs) < 12 {
		return lineFit{}, 0, character{}
	}
	f := fitLine(bs)
	c := (&ear{l: l}).characterOf(sm, steady(bs, f), bs, f)
	if f.used < 0.7*float64(len(bs)) || c.scatter > mostScatterS || f.sigma > 2*mostScatterS ||
		c.lasts > 0.25 || c.pattern > mostPattern || c.uneven > mostUnevenDB {
		return lineFit{}, 0, character{}
	}
	ring := fold(y, f.period*hz, int(f.period*hz))
	n := len(ring)
	first := loudest(ring, 0, n, int(0.004*hz))
	if another(ring, first, first+int(0.15*hz), first+n-int(0.05*hz), [][2]float64{{0.15, 0.95}}, hz) {
		return lineFit{}, 0, character{} // more than one sound a second
	}
	return f, len(bs), c
}
