package opinion

import (
	"fmt"
	"math"
	"sort"
	"time"

	"midcase/condition"
	"midcase/evidence"
	"midcase/market"
	"midcase/origin"
	"midcase/refbook"
	"midcase/say"
)

// Look is an observation that has not been made, with what it is expected to bring.
type Look struct {
	Kind    evidence.Kind `json:"kind"` // of the evidence that it would give
	Slot    evidence.Slot `json:"slot,omitempty"`
	What    say.Statement `json:"what"` // "look at the bezel"
	Minutes float64       `json:"minutes"`
	// DateBits is the expected fall of the doubt about the month, in bits: one less
	// for each halving of the months that it may be.
	DateBits float64 `json:"date_bits"`
	// PartBits is the expected fall of the doubt about which parts are original.
	PartBits float64 `json:"part_bits"`
	// PriceNarrower is by what share the 80 % interval of the value is expected to
	// become narrower, 0–1.
	PriceNarrower float64 `json:"price_narrower"`
	// Money is by how much the look is expected to move the value, up or down, in the
	// currency of the opinion; 0 where there is no market to tell.
	Money float64 `json:"money"`
	// Worth ranks: money a minute; without a market bits a minute, a tenth off the price
	// counted as one bit.
	Worth float64 `json:"worth"`

	first  bool // before all else, whatever it is worth
	settle look // what it would settle
}

// Minutes that each look takes a practised hand: common practice, no published
// source.
const (
	minutesSlot   = 1.5
	minutesInside = 8 // the case has to be opened
	minutesMark   = 2
	minutesTiming = 6
	minutesSize   = 1
)

// predictor is a market that values without listing comparables.
type predictor interface {
	Predict(s market.Subject, asOf time.Time, basis market.Basis) (*market.Valuation, error)
}

// NextLooks ranks the observations not yet made by what they are expected to bring a
// minute. The gains are computed, by summing over what each may show, not looked up
// in a list. A watch that the book does not have gets none.
func NextLooks(file evidence.File, book *refbook.Book, m Market, s Settings, asOf time.Time) ([]Look, error) {
	s, err := complete(s)
	if err != nil {
		return nil, err
	}
	f := &forming{file: file, book: book, market: m, settings: s, asOf: asOf}
	f.identify()
	if f.ref == nil {
		return []Look{}, nil
	}
	f.rules()
	f.dateAndParts()
	f.measure()
	f.running()
	f.condition()
	looks, err := f.looksAtOrigin()
	if err != nil {
		return nil, err
	}
	looks = append(looks, f.looksAtRunning()...)
	looks = append(looks, f.furtherLooks()...)
	priced := f.priceLooks(looks)
	for i := range looks {
		l := &looks[i]
		l.Worth = (l.DateBits + l.PartBits + 10*l.PriceNarrower) / l.Minutes
		if priced {
			l.Worth = round(l.Money/l.Minutes, 2)
		}
	}
	sort.SliceStable(looks, func(i, j int) bool {
		if looks[i].first != looks[j].first {
			return looks[i].first
		}
		return looks[i].Worth > looks[j].Worth
	})
	return looks, nil
}

// looksAtOrigin are the looks that bear on date and parts: slots not looked at, and
// numbers and stamps not read.
func (f *forming) looksAtOrigin() ([]Look, error) {
	subject, _ := f.subject()
	subject, _ = origin.Sound(subject)
	var looks []Look
	var candidates []origin.Candidate
	add := func(l Look, c origin.Candidate) { looks, candidates = append(looks, l), append(candidates, c) }
	for _, s := range subject.Slots {
		slot := evidence.Slot(s.Name)
		if s.Seen == "" && !f.missing(slot) {
			add(Look{Kind: evidence.KindFitted, Slot: slot, What: say.That("look.slot", slotArg("slot", slot)),
				Minutes: slotMinutes(slot)},
				origin.Candidate{Kind: origin.KindSlot, Slot: s.Name, Confidence: fittedConfidence})
		}
	}
	for _, c := range f.unreadNumbers() {
		add(Look{Kind: evidence.KindMark, What: say.That("look.number", mark("mark", c.what)), Minutes: c.minutes},
			origin.Candidate{Kind: origin.KindSerial, Serial: c.serial})
	}
	for _, c := range f.unreadStamps() {
		slot := evidence.Slot(c.Stamp.Slot)
		add(Look{Kind: evidence.KindMark, Slot: slot, What: say.That("look.stamp", slotArg("slot", slot)),
			Minutes: slotMinutes(slot) + 0.5}, c)
	}
	if len(candidates) == 0 {
		return looks, nil
	}
	gains, err := origin.ExpectedGains(subject, candidates...)
	if err != nil {
		return nil, fmt.Errorf("next look: %w", err)
	}
	for i, g := range gains {
		looks[i].DateBits, looks[i].PartBits = round(g.DateBits, 4), round(g.PartBits, 4)
	}
	return looks, nil
}

// slotMinutes tells how long a look at a slot takes: what lies inside needs the case
// opened.
func slotMinutes(slot evidence.Slot) float64 {
	if slot == evidence.Movement {
		return minutesInside
	}
	return minutesSlot
}

type unreadNumber struct {
	what    string
	minutes float64
	serial  origin.Serial
}

func (f *forming) unreadNumbers() []unreadNumber {
	var out []unreadNumber
	asked := map[string]bool{}
	for _, id := range f.ref.Serial {
		run, ok := f.maker.Serial(id)
		if !ok {
			continue
		}
		if _, read := f.mark(run.Mark); read || asked[run.Mark] {
			continue
		}
		asked[run.Mark] = true
		curve, err := curveOf(run)
		if err != nil {
			continue
		}
		minutes := float64(minutesMark)
		if run.Mark == evidence.MarkMovementNumber {
			minutes = minutesInside
		}
		out = append(out, unreadNumber{run.Mark, minutes, origin.Serial{ID: "next", Number: 1, Curve: curve,
			ScatterMonths:    run.ScatterMonths,
			DegreesOfFreedom: run.DegreesOfFreedom, OutlierShare: or(run.OutlierShare,
				0.02), Confidence: markConfidence}})
	}
	return out
}

// unreadStamps are the stamps that the parts fitted should carry by the book.
func (f *forming) unreadStamps() []origin.Candidate {
	read := map[evidence.Slot]bool{}
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		if m.Data.What == evidence.MarkDateStamp {
			read[m.Data.Slot] = true
		}
	}
	var out []origin.Candidate
	for slot, e := range f.fitted {
		if read[slot] || e.Data.Absent {
			continue
		}
		s, ok := f.ref.Slot(slot)
		if !ok {
			continue
		}
		v, ok := s.Variant(e.Data.Variant)
		if !ok || v.Stamp == "" {
			continue
		}
		st, ok := f.maker.Stamp(v.Stamp)
		if !ok {
			continue
		}
		out = append(out, origin.Candidate{Kind: origin.KindStamp, PeriodMonths: period(st.Form),
			Stamp: origin.Stamp{ID: "next", LagMonths: st.LagMonths, OutlierShare: stampOutliers,
				Confidence: markConfidence, Slot: string(slot)}})
	}
	sort.Slice(out, func(i, j int) bool {
		return slotOrder(evidence.Slot(out[i].Stamp.Slot)) < slotOrder(evidence.Slot(out[j].Stamp.Slot))
	})
	return out
}

// period is how many months a stamp of a form stands for.
func period(form string) int {
	switch form {
	case "quarter-year":
		return 3
	case "year-month":
		return 1
	}
	return 12
}

// looksAtRunning are the looks that bear on the movement's condition alone.
func (f *forming) looksAtRunning() []Look {
	if f.out.Running.Known {
		return nil
	}
	return []Look{{Kind: evidence.KindRate, Slot: evidence.Movement, What: say.That("look.timing"),
		Minutes: minutesTiming}}
}

// conditionSDWith is the standard deviation of the overall grade once a slot has
// been examined; the grade itself is expected to stay where it is.
func (f *forming) conditionSDWith(slot evidence.Slot, now float64) float64 {
	in := condition.Input{Findings: f.findings(), Measures: f.measures(), RelevantSlots: f.relevantSlots(),
		Suppose: []string{string(slot)}}
	for s, e := range f.fitted {
		if !e.Data.Absent {
			in.Fitted = append(in.Fitted, string(s))
		}
	}
	sort.Strings(in.Fitted)
	r, err := condition.Grade(in)
	if err != nil {
		return now
	}
	return math.Min(now, (r.High-r.Low)/(2*z90))
}
