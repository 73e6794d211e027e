package document

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/internal/chart"
	"midcase/metal"
	"midcase/opinion"
	"midcase/say"
	"midcase/timing"
)

func (w *writer) measured() section {
	s := section{id: "measured", title: w.String(say.That("report.measurements"))}
	if len(w.o.Measured) == 0 {
		s.finding = w.String(say.That("report.not-measured"))
		return s
	}
	t := table{columns: []column{{w.String(say.That("report.size-column")), 34, left},
		{w.String(say.That("report.measured-column")), 25, right},
		{w.String(say.That("report.nominal-column")), 21, right},
		{w.String(say.That("report.difference-column")), 18, right},
		{w.String(say.That("report.meaning-column")), 40, left}}}
	var off []string
	for _, m := range w.o.Measured {
		if m.NominalMM != nil && !m.Says.IsZero() && !asBook(m) {
			off = append(off, w.measureName(m))
		}
		t.rows = append(t.rows, w.measuredRow(m))
	}
	s.finding = w.told(say.That("report.measured", say.Count("n", len(w.o.Measured))))
	if len(off) > 0 {
		s.finding = w.told(say.That("report.measured-off", say.Count("n", len(w.o.Measured)),
			say.All("sizes", names(off)...)))
	}
	s.blocks = []block{t, para{note: true, text: w.String(say.That("report.how-measured"))}}
	return s
}

func (w *writer) measuredRow(m opinion.Measure) row {
	places := 2
	if stated(m.Interval) {
		_, _, _, r := say.Rounded(m.MM, m.Interval[0], m.Interval[1], 2)
		places = r.Decimals
	}
	name := cell{text: w.measureName(m)}
	if m.SpokenMM != nil {
		name.sub = w.String(say.That("report.known-as", say.Fixed("size", *m.SpokenMM, say.MM,
			exactPlaces(*m.SpokenMM))))
	}
	nominal, diff := "–", "–"
	if m.NominalMM != nil {
		nominal = w.rounded(*m.NominalMM, exactPlaces(*m.NominalMM))
	}
	if m.Difference != nil {
		diff = w.signed(*m.Difference, places)
	}
	says := cell{text: w.sentence(m.Says), mean: asBook(m)}
	if m.PRemoved != nil {
		says.sub = w.String(say.That("report.removed", say.Chance("chance", *m.PRemoved)))
	}
	return row{cells: []cell{name, {text: w.within(m.MM, m.Interval, "", 2)}, {text: nominal}, {text: diff}, says},
		cites: w.refs.cite(m.Evidence, m.Basis...)}
}

// asBook reports whether a size is said to be the book's, and nothing else of it.
func asBook(m opinion.Measure) bool {
	return strings.HasPrefix(strings.ToLower(m.Says.String()), "as the book")
}

// exactPlaces is how many places a figure of the book was written with.
func exactPlaces(x float64) int {
	for p := 0; p < 2; p++ {
		if math.Abs(x-math.Round(x*math.Pow(10, float64(p)))/math.Pow(10, float64(p))) < 1e-9 {
			return max(p, 1)
		}
	}
	return 2
}

func (w *writer) metal() section {
	m := w.o.Metal
	s := section{id: "metal", title: w.String(say.That("report.metal")), cites: w.refs.cite(nil, m.Basis...)}
	s.finding = opening(orElse(w.String(m.Says), m.Name))
	if m.Says.IsZero() && m.Name == "" {
		s.finding = w.String(say.That("report.not-tested"))
	}
	if f := w.metalFacts(m); len(f) > 0 {
		s.blocks = append(s.blocks, f)
	}
	if len(m.Parts) > 0 {
		t := table{columns: []column{{w.String(say.That("report.part-column")), 44, left},
			{w.String(say.That("report.weight-column")), 22, right},
			{w.String(say.That("report.fineness-column")), 22, right},
			{w.String(say.That("report.fine-column")), 20, right}, {w.String(say.That("report.from-column")),
				30, left}}}
		for _, p := range m.Parts {
			t.rows = append(t.rows, row{cells: plain(w.String(p.Part), w.rounded(p.G, 1),
				w.rounded(float64(p.Fineness), 0), w.rounded(p.FineG, 1), w.String(p.From)),
				cites: w.refs.cite(nil, p.Basis...)})
		}
		s.blocks = append(s.blocks, t)
	}
	if len(s.blocks) > 0 {
		s.blocks = append(s.blocks, para{note: true, text: w.String(say.That("report.what-marks-are"))})
	}
	return s
}

func (w *writer) metalFacts(m opinion.Metal) facts {
	var f facts
	if m.Fineness > 0 {
		f = append(f, fact{name: w.String(say.That("report.fineness")), text: fmt.Sprintf("%d"+nbsp+"‰", m.Fineness)})
	}
	if m.FineG != nil {
		f = append(f, fact{name: w.String(say.That("report.fine-weight")),
			text: w.within(*m.FineG, m.Interval, w.Unit(say.Gram), 1)})
	}
	if m.MeltFloor != nil {
		f = append(f, fact{name: w.String(say.That("report.melt-floor")), text: w.Value(say.Estimate{
			Value: m.MeltFloor.Float(), Currency: m.MeltFloor.Currency()}, ""), sub: w.spot(m.Spot)})
	}
	if d := m.Density; d != nil {
		agrees := say.That("report.agrees-with-none")
		if len(d.Agrees) > 0 {
			agrees = say.That("report.agrees-with", say.All("alloys", alloys(d.Agrees)...))
		}
		f = append(f, fact{name: w.String(say.That("report.density", say.Saying("part", d.Part))),
			text: w.within(d.GPerCM3, d.Interval, w.Unit(say.GramPerCM3), 2),
			sub:  w.sentences([]say.Statement{d.Says, agrees}, say.Statement{}), cites: w.refs.cite(nil, d.Basis...)})
	}
	for _, k := range m.Marks {
		name := say.That("report.mark")
		if k.Slot != "" {
			name = say.That("report.mark-on", say.Term("slot", "slot", string(k.Slot), k.Slot.Name()))
		}
		f = append(f, fact{name: w.String(name), text: w.String(say.That("report.quoted", say.Name("text", k.Text))),
			sub: w.String(k.Says), cites: w.refs.cite(nil, k.Basis...)})
	}
	return f
}

// spot is the price of the metal that a melt floor was made with.
func (t tongue) spot(at *opinion.Spot) string {
	switch {
	case at == nil:
		return t.String(say.That("report.no-price-of-watch"))
	case at.Payout > 0 && at.Payout < 1:
		return t.String(say.That("report.melt-paid-out", say.Money("price", at.PerTroyOunce), say.Day("day", at.Date),
			say.Chance("share", at.Payout)))
	}
	return t.String(say.That("report.melt-at", say.Money("price", at.PerTroyOunce), say.Day("day", at.Date)))
}

// alloys are the names of alloys as words of the trade.
func alloys(agrees []string) (out []say.Value) {
	known := metal.Alloys()
	for _, name := range agrees {
		n := say.Noun{Set: "alloy", ID: name, English: name}
		if i := slices.IndexFunc(known, func(a metal.Alloy) bool { return a.Name == name }); i >= 0 {
			n.ID = known[i].ID
		}
		out = append(out, n)
	}
	return out
}

func (w *writer) running() section {
	r := w.o.Running
	s := section{id: "running", title: w.String(say.That("report.how-it-runs")), cites: w.refs.cite(nil, r.Basis...)}
	if !r.Known && len(r.Positions) == 0 {
		s.finding = w.sentences(r.Says, say.That("running.not-timed"))
		return s
	}
	s.finding = w.sentences(r.Says, say.That("report.timed", say.Count("n", len(r.Positions))))
	if r.ServiceExpected != nil && !mentions(say.Strings(r.Says), "service") {
		due := say.That("report.no-service")
		if *r.ServiceExpected {
			due = say.That("report.service-due")
		}
		s.finding += " " + w.String(due)
	}
	if f := w.runningFacts(r); len(f) > 0 {
		s.blocks = append(s.blocks, f)
	}
	if len(r.Positions) > 1 {
		s.blocks = append(s.blocks, figure{drawing: chart.Positions(r, chart.Paper, w.Writer),
			note: w.String(say.That("report.positions-chart"))})
	}
	s.blocks = append(s.blocks, w.positions())
	s.blocks = append(s.blocks, w.positionsNote(r)...)
	s.blocks = append(s.blocks, w.serviceChange(r.Service)...)
	if len(r.Compared) > 0 {
		s.blocks = append(s.blocks, w.limitsOf(r.Compared), para{note: true,
			text: w.String(say.That("report.what-limits-are"))})
	}
	return s
}

// limitsOf sets the figures beside the limits of ISO 3159.
func (t tongue) limitsOf(all []opinion.Limit) table {
	tab := table{caption: t.String(say.That("report.limits-caption")),
		columns: []column{{t.String(say.That("report.criterion-column")), 58, left},
			{t.String(say.That("report.this-watch-column")), 24, right},
			{t.String(say.That("report.limits-column")), 28, right}, {"", 28, left}}}
	for _, l := range all {
		word := say.That("report.outside")
		if l.Within {
			word = say.That("report.within")
		}
		sub := ""
		if l.Movement != "" {
			sub = t.String(say.That("report.movement-size", say.Term("size", "movement_size", l.Movement, l.Movement)))
		}
		places := limitPlaces(l.Limits)
		tab.rows = append(tab.rows, row{cells: []cell{
			{text: say.Capital(t.Value(say.Noun{Set: "criterion", ID: l.Criterion, English: l.Criterion}, "")),
				sub: sub},
			{text: t.signed(l.Value, 1)},
			{text: t.String(say.That("report.from-to", say.Name("low", t.signed(l.Limits[0], places)),
				say.Name("high", t.signed(l.Limits[1], places))))}, {text: t.String(word)}}})
	}
	return tab
}

// limitPlaces is 0 for limits in whole numbers, and else 1.
func limitPlaces(l [2]float64) int {
	if l[0] == math.Trunc(l[0]) && l[1] == math.Trunc(l[1]) {
		return 0
	}
	return 1
}

// onSheet marks the figures of the running that open the record of it.
const onSheet = "on sheet"

func (t tongue) runningFacts(r opinion.Running) facts {
	var f facts
	add := func(id string, name say.Statement, x *float64, u say.Unit, places int, plus bool) {
		if x == nil {
			return
		}
		text := t.rounded(*x, places)
		if plus {
			text = t.signed(*x, places)
		}
		f = append(f, fact{id: id, name: t.String(name), text: text + spaced(t.Unit(u))})
	}
	if r.Mean != nil && r.MeanSE != nil {
		half := 1.645 * *r.MeanSE
		sub := ""
		if clock := 1.645 * r.ClockSE; clock > 0.05 {
			sub = t.String(say.That("report.clock-share", say.Fixed("half", clock, say.None, 1)))
		}
		f = append(f, fact{id: onSheet, name: t.String(say.That("report.mean-rate")),
			text: t.plusMinus(*r.Mean, half, 1) + spaced(t.Unit(say.SecondPerDay)), sub: sub})
	} else {
		add(onSheet, say.That("report.mean-rate"), r.Mean, say.SecondPerDay, 1, true)
	}
	add(onSheet, say.That("report.greatest-difference"), r.Delta, say.SecondPerDay, 1, false)
	add("", say.That("report.vertical-minus-horizontal"), r.VerticalMinusHorizontal, say.SecondPerDay, 1, true)
	add(onSheet, say.That("report.amplitude"), r.Amplitude, say.Degree, 0, false)
	add(onSheet, say.That("report.beat-error"), r.BeatError, say.Millisecond, 1, false)
	add("", say.That("report.isochronism"), r.Isochronism, say.SecondPerDay, 1, true)
	if r.LiftAngleDeg > 0 {
		f = append(f, fact{name: t.String(say.That("report.lift-angle-used")), text: t.rounded(r.LiftAngleDeg, 0) + "°",
			sub: t.String(r.LiftAngleFrom)})
	}
	return f
}

// positionsNote says what the ± of the table is, where there is any.
func (t tongue) positionsNote(r opinion.Running) []block {
	any, uncorrected := false, false
	for _, p := range r.Positions {
		any = any || p.SE > 0
		uncorrected = uncorrected || p.ClockSE > 0 && p.Clock == "" &&
			math.Abs(p.ClockSE-timing.Options{}.Term().SE) < 1e-6
	}
	if !any {
		return nil
	}
	text := t.String(say.That("report.half-range"))
	if uncorrected {
		text += " " + t.String(say.That("report.clock-unchecked", say.Fixed("ppm", timing.UncorrectedPPM, say.None, 0),
			say.Fixed("rate", timing.UncorrectedPPM*timing.PPMToSecPerDay, say.SecondPerDay, 1)))
	}
	return []block{para{note: true, stays: true, text: text}}
}

// hours writes whole hours whole and others to a tenth.
func (t tongue) hours(h float64) string {
	if h == math.Trunc(h) {
		return t.rounded(h, 0)
	}
	return t.rounded(h, 1)
}

func (w *writer) positions() table {
	t := table{columns: []column{{w.String(say.That("report.iso-position-column")), 42, left},
		{w.String(say.That("report.rate-column")), 22, right},
		{w.String(say.That("report.amplitude-column")), 24, right},
		{w.String(say.That("report.beat-column")), 26, right}, {w.String(say.That("report.hours-column")), 30, right}},
		empty: w.String(say.That("report.no-reading"))}
	for _, p := range w.o.Running.Positions {
		amp, beat := "–", "–"
		if p.AmplitudeDeg > 0 {
			amp = w.rounded(p.AmplitudeDeg, 0)
		}
		if p.BeatErrorMS != nil {
			beat = w.rounded(*p.BeatErrorMS, 1)
		}
		var ids []evidence.ID
		if p.Evidence != "" {
			ids = []evidence.ID{p.Evidence}
		}
		rate := w.signed(p.SecPerDay, 1)
		if half := 1.645 * math.Hypot(p.SE, p.ClockSE); half > 0 {
			rate += nbsp + "±" + nbsp + w.rounded(math.Max(half, 0.1), 1)
		}
		t.rows = append(t.rows, row{cells: plain(say.Capital(w.positionWords(p.Position)), rate, amp, beat,
			w.hours(p.HoursSinceWind)), cites: w.refs.cite(ids)})
	}
	return t
}
