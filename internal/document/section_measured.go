package document

import (
	"fmt"
	"math"
	"strings"

	"midcase/evidence"
	"midcase/internal/chart"
	"midcase/opinion"
	"midcase/say"
	"midcase/timing"
)

func (w *writer) measured() section {
	s := section{id: "measured", title: "Measurements"}
	if len(w.o.Measured) == 0 {
		s.finding = "Not measured."
		return s
	}
	t := table{columns: []column{{"Size", 34, left}, {"Measured, mm", 25, right}, {"Nominal, mm", 21, right},
		{"Difference", 18, right}, {"Meaning", 40, left}}}
	var off []string
	for _, m := range w.o.Measured {
		places := 2
		if stated(m.Interval) {
			_, _, _, r := say.Rounded(m.MM, m.Interval[0], m.Interval[1], 2)
			places = r.Decimals
		}
		name := cell{text: measureName(m.Name.String(), m.What)}
		if m.SpokenMM != nil {
			name.sub = "known as " + rounded(*m.SpokenMM, exactPlaces(*m.SpokenMM)) + nbsp + "mm"
		}
		nominal, diff := "–", "–"
		if m.NominalMM != nil {
			nominal = rounded(*m.NominalMM, exactPlaces(*m.NominalMM))
		}
		if m.Difference != nil {
			diff = signed(*m.Difference, places)
		}
		if m.NominalMM != nil && !m.Says.IsZero() && !asBook(m.Says.String()) {
			off = append(off, measureName(m.Name.String(), m.What))
		}
		says := cell{text: opening(m.Says.String())}
		if m.PRemoved != nil {
			says.sub = percent(*m.PRemoved) + " likely that metal was removed"
		}
		t.rows = append(t.rows, row{cells: []cell{name, {text: within(m.MM, m.Interval, "", 2)}, {text: nominal},
			{text: diff}, says},
			cites: w.refs.cite(m.Evidence, m.Basis...)})
	}
	s.finding = told(say.That("report.measured", say.Count("n", len(w.o.Measured))))
	if len(off) > 0 {
		s.finding = told(say.That("report.measured-off", say.Count("n", len(w.o.Measured)),
			say.All("sizes", names(off)...)))
	}
	s.blocks = []block{t, para{note: true, text: "The mid-case is measured without crown and guards. ± is half the 90" +
		nbsp + "% range."}}
	return s
}

// asBook reports whether a size is said to be the book's.
func asBook(says string) bool { return strings.HasPrefix(strings.ToLower(says), "as the book") }

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
	s := section{id: "metal", title: "Metal", cites: w.refs.cite(nil, m.Basis...)}
	s.finding = opening(orElse(m.Says.String(), m.Name))
	if m.Says.IsZero() && m.Name == "" {
		s.finding = "Not tested."
	}
	var f facts
	if m.Fineness > 0 {
		f = append(f, fact{name: "Fineness", text: fmt.Sprintf("%d"+nbsp+"‰", m.Fineness)})
	}
	if m.FineG != nil {
		f = append(f, fact{name: "Fine weight", text: within(*m.FineG, m.Interval, "g", 1)})
	}
	if m.MeltFloor != nil {
		spot := ""
		if m.Spot != nil {
			spot = "at " + amount(&m.Spot.PerTroyOunce) + " a troy ounce on " + isoDayWords(m.Spot.Date)
			if m.Spot.Payout > 0 && m.Spot.Payout < 1 {
				spot += ", " + percent(m.Spot.Payout) + " paid out"
			}
		}
		f = append(f, fact{name: "Melt floor", text: english.Value(say.Estimate{Value: m.MeltFloor.Float(),
			Currency: m.MeltFloor.Currency()}, ""), sub: spot + "; not a price for the watch"})
	}
	if d := m.Density; d != nil {
		agrees := "agrees with no listed alloy"
		if len(d.Agrees) > 0 {
			agrees = "agrees with " + series(d.Agrees)
		}
		f = append(f, fact{name: "Density, " + underscored(d.Part.String()),
			text: within(d.GPerCM3, d.Interval, "g/cm³", 2), sub: joinSentences(d.Says.String(),
				agrees), cites: w.refs.cite(nil, d.Basis...)})
	}
	for _, k := range m.Marks {
		f = append(f, fact{name: strings.TrimSpace("Mark " + slotName(k.Slot)), text: "“" + k.Text + "”",
			sub: k.Says.String(), cites: w.refs.cite(nil, k.Basis...)})
	}
	if len(f) > 0 {
		s.blocks = append(s.blocks, f)
	}
	if len(m.Parts) > 0 {
		t := table{columns: []column{{"Part", 44, left}, {"Weight, g", 22, right}, {"Fineness, ‰", 22, right},
			{"Fine, g", 20, right}, {"From", 30, left}}}
		for _, p := range m.Parts {
			t.rows = append(t.rows, row{cells: plain(underscored(p.Part.String()), rounded(p.G, 1),
				rounded(float64(p.Fineness), 0), rounded(p.FineG,
					1), p.From.String()), cites: w.refs.cite(nil, p.Basis...)})
		}
		s.blocks = append(s.blocks, t)
	}
	if len(s.blocks) > 0 {
		s.blocks = append(s.blocks, para{note: true, text: "A mark is what the metal was sold as, not an assay. Density can contradict a mark; it cannot prove one."})
	}
	return s
}

func joinSentences(texts ...string) string { return sentences(texts, "") }

func (w *writer) running() section {
	r := w.o.Running
	s := section{id: "running", title: "How it runs", cites: w.refs.cite(nil, r.Basis...)}
	if !r.Known && len(r.Positions) == 0 {
		s.finding = orElse(sentences(say.Strings(r.Says), ""), "Not timed yet.")
		return s
	}
	s.finding = sentences(say.Strings(r.Says), told(say.That("report.timed", say.Count("n", len(r.Positions)))))
	if r.ServiceExpected != nil && !strings.Contains(strings.ToLower(s.finding), "service") {
		s.finding += map[bool]string{true: " A service is due.", false: " These figures show no need for a service."}[*r.ServiceExpected]
	}
	if f := runningFacts(r); len(f) > 0 {
		s.blocks = append(s.blocks, f)
	}
	if len(r.Positions) > 1 {
		s.blocks = append(s.blocks, figure{drawing: chart.Positions(r, chart.Paper, english),
			note: "A full dot is a reading in the first hours after winding, an open one a later reading; the broken line is the mean over positions."})
	}
	s.blocks = append(s.blocks, w.positions())
	s.blocks = append(s.blocks, positionsNote(r)...)
	s.blocks = append(s.blocks, serviceChange(r.Service)...)
	if len(r.Compared) > 0 {
		t := table{caption: "Compared with the limits of ISO 3159, for information",
			columns: []column{{"Criterion", 58, left}, {"This watch", 24, right}, {"Limits", 28, right},
				{"", 28, left}}}
		for _, l := range r.Compared {
			word := "outside"
			if l.Within {
				word = "within"
			}
			t.rows = append(t.rows, row{cells: []cell{{text: say.Capital(l.Criterion),
				sub: after("movement ", l.Movement)}, {text: signed(l.Value, 1)},
				{text: signed(l.Limits[0], limitPlaces(l.Limits)) + " to " +
					signed(l.Limits[1], limitPlaces(l.Limits))}, {text: word}}})
		}
		s.blocks = append(s.blocks, t, para{note: true, text: "ISO 3159 sets its limits for new wrist chronometers over a test of fifteen days at three temperatures. No such test was made here; nothing is certified."})
	}
	return s
}

// limitPlaces is 0 for limits in whole numbers, and else 1.
func limitPlaces(l [2]float64) int {
	if l[0] == math.Trunc(l[0]) && l[1] == math.Trunc(l[1]) {
		return 0
	}
	return 1
}

func runningFacts(r opinion.Running) facts {
	var f facts
	add := func(name string, x *float64, unit string, places int, plus bool) {
		if x == nil {
			return
		}
		text := rounded(*x, places)
		if plus {
			text = signed(*x, places)
		}
		f = append(f, fact{name: name, text: text + spaced(unit)})
	}
	if r.Mean != nil && r.MeanSE != nil {
		half := 1.645 * *r.MeanSE
		sub := ""
		if clock := 1.645 * r.ClockSE; clock > 0.05 {
			sub = "recorder's clock ±" + nbsp + rounded(clock, 1) + " of it"
		}
		f = append(f, fact{name: "Mean rate", text: plusMinus(*r.Mean, half, 1) + nbsp + "s/day", sub: sub})
	} else {
		add("Mean rate", r.Mean, "s/day", 1, true)
	}
	add("Greatest difference", r.Delta, "s/day", 1, false)
	add("Vertical minus horizontal", r.VerticalMinusHorizontal, "s/day", 1, true)
	add("Amplitude", r.Amplitude, "°", 0, false)
	add("Beat error", r.BeatError, "ms", 1, false)
	add("Isochronism", r.Isochronism, "s/day", 1, true)
	if r.LiftAngleDeg > 0 {
		f = append(f, fact{name: "Lift angle used", text: rounded(r.LiftAngleDeg, 0) + "°",
			sub: r.LiftAngleFrom.String()})
	}
	return f
}

// positionsNote says what the ± of the table is, where there is any.
func positionsNote(r opinion.Running) []block {
	any, uncorrected := false, false
	for _, p := range r.Positions {
		any = any || p.SE > 0
		uncorrected = uncorrected || p.ClockSE > 0 && p.Clock == "" &&
			math.Abs(p.ClockSE-timing.Options{}.Term().SE) < 1e-6
	}
	if !any {
		return nil
	}
	text := "± is half the 90" + nbsp + "% range."
	if uncorrected {
		text += " The clock of a recorder that was not checked may be off by ±" + nbsp + rounded(timing.UncorrectedPPM, 0) + " parts in a million (±" + nbsp + rounded(timing.UncorrectedPPM*timing.PPMToSecPerDay, 1) + nbsp + "s/day). It moves all positions alike and is included in each figure."
	}
	return []block{para{note: true, text: text}}
}

// hours writes whole hours whole and others to a tenth.
func hours(h float64) string {
	if h == math.Trunc(h) {
		return rounded(h, 0)
	}
	return rounded(h, 1)
}

func (w *writer) positions() table {
	t := table{columns: []column{{"Position (ISO 3158)", 42, left}, {"Rate, s/day", 22, right},
		{"Amplitude, °", 24, right}, {"Beat error, ms", 26, right}, {"Hours since winding", 30,
			right}}, empty: "No reading by position."}
	for _, p := range w.o.Running.Positions {
		amp, beat := "–", "–"
		if p.AmplitudeDeg > 0 {
			amp = rounded(p.AmplitudeDeg, 0)
		}
		if p.BeatErrorMS != nil {
			beat = rounded(*p.BeatErrorMS, 1)
		}
		var ids []evidence.ID
		if p.Evidence != "" {
			ids = []evidence.ID{p.Evidence}
		}
		rate := signed(p.SecPerDay, 1)
		if half := 1.645 * math.Hypot(p.SE, p.ClockSE); half > 0 {
			rate += nbsp + "±" + nbsp + rounded(math.Max(half, 0.1), 1)
		}
		t.rows = append(t.rows, row{cells: plain(say.Capital(positionWords(p.Position)), rate, amp, beat,
			hours(p.HoursSinceWind)), cites: w.refs.cite(ids)})
	}
	return t
}
