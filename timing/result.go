package timing

import (
	"math"

	"midcase/say"
)

// result turns what was followed into figures.
func (e *ear) result() Analysis {
	out := Analysis{Seconds: round(e.seconds(), 3), Notes: []say.Statement{}}
	if e.heard == nil || len(e.l.beats) < 8 {
		out.Reason = e.why()
		return out
	}
	if why, is := e.balance(); !is {
		out.Reason = why
		return out
	}
	f := fitLine(e.l.beats)
	nominal := e.heard.nominal
	out.Heard, out.LiftAngleDeg, out.Beats = true, e.o.LiftAngleDeg, len(e.l.beats)
	out.Confidence = round(clamp(1-e.heard.second/e.heard.strength, 0, 1), 3)
	out.SNRdB = round(10*math.Log10(math.Max((e.power-e.noise)/math.Max(e.noise, 1e-30), 1e-3)), 1)
	if nominal == 0 {
		out.BeatsPerHour = math.Round(3600 / f.period / e.clock())
		out.Notes = append(out.Notes, say.That("sound.unusual-beat"))
	} else {
		out.BeatsPerHour = nominal
		out.Rate = e.rateOf(f, nominal)
		out.state(e.o.Term())
	}
	out.BeatError = e.beatError(f)
	out.Amplitude = e.amplitude(3600 / f.period)
	out.Periodic = e.periodic(f)
	e.course(&out, nominal)
	e.trace(&out, f, nominal)
	e.notes(&out, f)
	return out
}

// clock is the number of seconds by the recorder that pass in a true second.
func (e *ear) clock() float64 { return 1 + e.o.ClockPPM*1e-6 }

func (e *ear) rateOf(f lineFit, nominal float64) *Figure {
	want := 3600 / nominal
	r := 86400 * (want*e.clock()/f.period - 1)
	se := 86400 * want / (f.period * f.period) * f.sePeriod
	if e.o.Lossy || e.coded() {
		se *= lossyWiden
	}
	se = math.Hypot(se, PPMToSecPerDay*e.o.ClockPPMSE)
	return &Figure{round(r, 4), round(se, 4)}
}

// lossyWiden is what made recordings through MP3 at 96 kbit/s ask for: without it 49 of 60
// ranges held where 54 should.
const lossyWiden = 1.3

// coded reports whether the sound seems to have been through a lossy coder: it is cut off
// well below half the sampling rate.
func (e *ear) coded() bool { return e.upTo < 0.43*e.rate }

// state adds what is not known of the clock. A measured clock's error is in the rate
// already.
func (a *Analysis) state(c ClockTerm) {
	se := a.Rate.SE
	if !c.Corrected {
		se = round(math.Hypot(se, c.SE), 4)
	}
	f := Figure{a.Rate.Value, se}
	a.Clock, a.Stated = &c, &f
	a.StatedRange = &[2]float64{round(f.Value-f.Half(), 4), round(f.Value+f.Half(), 4)}
}

// What averaging does not take away, in seconds; some hundred made recordings of as many
// cases bear it out.
const (
	// beatErrorUncertaintyS is how well the noises of tick and tock can be compared, which
	// sound unlike; without onsets only the templates compare them.
	beatErrorUncertaintyS = 0.000033
	unlikeUncertaintyS    = 0.0003
	onsetUncertaintyS     = 0.000062 // of the onsets of two different noises, for the amplitude
)

func (e *ear) amplitude(beatsPerHour float64) *Figure {
	t, ok := e.together(func(o onsets) Figure { return o.lift })
	if !ok {
		return nil
	}
	u := onsetUncertaintyS * e.dull()
	se := math.Hypot(t.SE, u)
	a := Amplitude(e.o.LiftAngleDeg, beatsPerHour, t.Value)
	slope := math.Pi * beatsPerHour / 7200 / math.Tan(math.Pi*beatsPerHour/7200*t.Value)
	return &Figure{round(a, 2), round(a*slope*se, 2)}
}

// dull is by how much worse onsets are told where high sounds were cut off: nothing is lost
// down to 12 kHz, and at 4 kHz, as a telephone line has it, three times are.
func (e *ear) dull() float64 { return clamp(12000/e.upTo, 1, 3) }

// together puts the stretches' readings of one thing together; none where fewer than six
// of ten stretches could be read.
func (e *ear) together(of func(onsets) Figure) (Figure, bool) {
	var values, weights []float64
	for _, p := range e.parts {
		if f := of(p.onsets); p.onsets.ok {
			values, weights = append(values, f.Value), append(weights, 1/math.Max(f.SE*f.SE, 1e-12))
		}
	}
	if len(values) == 0 || float64(len(values)) < 0.6*float64(len(e.parts)) {
		return Figure{}, false
	}
	sum, w := 0.0, 0.0
	for i, v := range values {
		sum, w = sum+weights[i]*v, w+weights[i]
	}
	return Figure{sum / w, 1 / math.Sqrt(w)}, true
}

// beatError is the skew of the line, which is that of the marks of the templates, set
// right by the onsets of the noises: each direction has a template of its own, and its mark
// lies anywhere in it.
func (e *ear) beatError(f lineFit) *Figure {
	apart, ok := e.together(func(o onsets) Figure { return o.apart })
	se := beatErrorUncertaintyS * e.dull()
	if !ok {
		se = unlikeUncertaintyS
	}
	se = math.Sqrt(f.seSkew*f.seSkew + apart.SE*apart.SE + se*se)
	return &Figure{round(math.Abs(f.skew+apart.Value)*1000, 4), round(se*1000, 4)}
}

// course cuts the beats into stretches of about ten seconds.
func (e *ear) course(out *Analysis, nominal float64) {
	if nominal == 0 {
		return
	}
	bs := e.l.beats
	for i := 0; i < len(bs); {
		j := i
		for j < len(bs) && bs[j].at < bs[i].at+10 {
			j++
		}
		if j-i >= 12 {
			f := fitLine(bs[i:j])
			c := Course{FromS: round(bs[i].at, 2), ToS: round(bs[j-1].at, 2), Rate: *e.rateOf(f, nominal)}
			for _, p := range e.parts {
				if p.from <= c.ToS && p.to >= c.FromS && p.onsets.ok {
					a := round(Amplitude(e.o.LiftAngleDeg, nominal, p.onsets.lift.Value), 1)
					c.AmplitudeDeg = &a
				}
			}
			out.Course = append(out.Course, c)
		}
		i = j
	}
}

func (e *ear) trace(out *Analysis, f lineFit, nominal float64) {
	want := f.period
	if nominal > 0 {
		want = 3600 / nominal * e.clock()
	}
	for i, b := range e.l.beats {
		late := b.at - f.a - float64(b.k)*want
		out.Trace = append(out.Trace, Trace{AtS: round(b.at, 5), LateMS: round(late*1000, 4), Odd: b.k%2 != 0,
			Used: f.weights[i] > 0})
	}
}

// periodic looks for the strongest sine in what the line leaves, with a period of
// 3 s up to two thirds of the recording. It must stand well out of chance.
func (e *ear) periodic(f lineFit) *Wave {
	bs := e.l.beats
	span := bs[len(bs)-1].at - bs[0].at
	if span < 12 {
		return nil
	}
	total, n := 0.0, 0.0
	for i, w := range f.weights {
		total += w * f.residuals[i] * f.residuals[i]
		n += w
	}
	var best Wave
	gain := 0.0
	for hz := 1.5 / span; hz < 1.0/3; hz += 0.1 / span {
		var cc, ss, cs, yc, ys float64
		for i, w := range f.weights {
			if w == 0 {
				continue
			}
			s, c := math.Sincos(2 * math.Pi * hz * bs[i].at)
			cc, ss, cs = cc+w*c*c, ss+w*s*s, cs+w*c*s
			yc, ys = yc+w*c*f.residuals[i], ys+w*s*f.residuals[i]
		}
		det := cc*ss - cs*cs
		if det <= 0 {
			continue
		}
		a, b := (yc*ss-ys*cs)/det, (ys*cc-yc*cs)/det
		if g := a*yc + b*ys; g > gain {
			gain, best = g, Wave{PeriodS: round(1/hz, 1), SizeMS: round(math.Hypot(a, b)*1000, 3)}
		}
	}
	// the gain of a chance sine is about exponential with mean σ²; of some tens of
	// independent periods the largest seldom passes eight times that
	if sigma2 := total / math.Max(n-3, 1); gain < 2*10*sigma2 || best.SizeMS < 0.05 {
		return nil
	}
	return &best
}

// why says why no watch was heard.
func (e *ear) why() say.Statement {
	switch {
	case e.peak == 0:
		return say.That("sound.zero")
	case e.peak < 1e-4:
		return say.That("sound.silent")
	case e.o.BeatsPerHour > 0 && e.best.strength < minStrength:
		return say.That("sound.not-at-rate", perHour("beats", e.o.BeatsPerHour))
	}
	return say.That("sound.no-beat")
}

func perHour(name string, beats float64) say.Arg { return say.Fixed(name, beats, say.None, 0) }

// notes says what a watchmaker would look at.
func (e *ear) notes(out *Analysis, f lineFit) {
	by := CommonPractice()
	if e.o.Practice != nil {
		by = *e.o.Practice
	}
	out.Notes = append(out.Notes, e.ofAmplitude(out, by)...)
	tell := func(is bool, s say.Statement) {
		if is {
			out.Notes = append(out.Notes, s)
		}
	}
	tell(out.BeatError.Value > by.AdjustBeatMS,
		say.That("sound.out-of-beat", milliseconds("error", out.BeatError.Value)))
	tell(f.sigma > 0.0006, say.That("sound.uneven", milliseconds("scatter", f.sigma*1000)))
	tell(out.Rate != nil && out.Rate.Value > by.MagnetSecDay, say.That("sound.magnetism"))
	if p := out.Periodic; p != nil {
		tell(true, say.That("sound.swing", milliseconds("swing", p.SizeMS),
			say.Fixed("period", p.PeriodS, say.Seconds, 0)))
	}
	tell(e.heard.rival > 0.4*e.heard.strength && e.heard.rival > 2*minStrength,
		say.That("sound.second-watch", perHour("beats", e.heard.rivalAt)))
	tell(e.upTo < 10000, say.That("sound.narrow", say.Fixed("upTo", e.upTo/1000, say.None, 0)))
	if e.cut != nil {
		have, _ := e.cut.EndsEarly()
		tell(true, say.That("sound.cut-short", say.Fixed("have", have, say.Seconds, 0)))
	}
	tell(e.clipped > 20, say.That("sound.clipped", say.Count("n", e.clipped)))
	tell(!e.o.Term().Corrected, say.That("sound.clock", spread("term", UncorrectedPPM*PPMToSecPerDay)))
	tell(e.commonLift, say.That("sound.lift"))
	tell(true, say.That("sound.watchmaker"))
}

// ofAmplitude says what there is to say of the amplitude.
func (e *ear) ofAmplitude(out *Analysis, by Practice) (says []say.Statement) {
	switch a := out.Amplitude; {
	case a == nil:
		return []say.Statement{say.That("sound.no-amplitude")}
	case a.Value > by.RebankDeg:
		says = append(says, say.That("sound.knocking", degrees("amplitude", a.Value)))
	case a.Value < by.ServiceDeg:
		says = append(says, say.That("sound.weak", degrees("amplitude", a.Value), degrees("lift", e.o.LiftAngleDeg)))
	}
	if e.fewNoises() {
		says = append(says, say.That("sound.two-noises"))
	}
	return says
}

// fewNoises reports whether mostly only two noises of a beat stand out.
func (e *ear) fewNoises() bool {
	few := 0
	for _, p := range e.parts {
		if p.onsets.ok && p.onsets.noises < 3 {
			few++
		}
	}
	return 2*few > len(e.parts)
}

func round(v float64, digits int) float64 {
	k := math.Pow(10, float64(digits))
	return math.Round(v*k) / k
}

func clamp(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }
