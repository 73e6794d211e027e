package opinion_test

import (
	"testing"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/opinion"
)

// timed is a watch read in two positions before and after a service.
func timed(date string) evidence.File {
	at := func(day, hour int) time.Time { return time.Date(2026, 5, day, hour, 0, 0, 0, time.UTC) }
	w := evidence.Watch{Maker: "Corvane", Reference: "KR-1"}
	add := func(id evidence.ID, at time.Time, d evidence.Data) {
		w.Evidence = append(w.Evidence, evidence.Item{ID: id, At: at, By: "bench", Data: d})
	}
	add("ev_a", at(2, 9), &evidence.Rate{Position: "CH", SecPerDay: -20, SecPerDaySE: 0.3, AmplitudeDeg: 205,
		AmplitudeDegSE: 3})
	add("ev_b", at(2, 10), &evidence.Rate{Position: "6H", SecPerDay: -41, SecPerDaySE: 0.3, AmplitudeDeg: 180,
		AmplitudeDegSE: 3})
	add("ev_c", at(2, 11), &evidence.Rate{Position: "9H", SecPerDay: -35, SecPerDaySE: 0.3})
	work := &evidence.Work{What: "service", By: "A. Watchmaker"}
	if date != "" {
		work.Date = edtf.MustParse(date)
	}
	add("ev_w", at(20, 9), work)
	add("ev_e", at(20, 8), &evidence.Work{What: "estimate"})
	add("ev_d", at(21, 9), &evidence.Rate{Position: "CH", SecPerDay: 5, SecPerDaySE: 0.3, AmplitudeDeg: 285,
		AmplitudeDegSE: 3})
	add("ev_f", at(21, 10), &evidence.Rate{Position: "6H", SecPerDay: 1, SecPerDaySE: 0.3, AmplitudeDeg: 260,
		AmplitudeDegSE: 3, Recording: "ev_r", Instrument: "sound recording, clock not corrected"})
	return evidence.Fold(w, at(30, 0))
}

func TestBeforeAndAfterService(t *testing.T) {
	for _, date := range []string{"", "2026-05-20", "2026-05"} {
		o, err := opinion.Form(timed(date), nil, nil, opinion.Settings{}, time.Date(2026, 5, 30, 0, 0, 0, 0, time.UTC))
		if err != nil {
			t.Fatal(err)
		}
		c := o.Running.Service
		if c == nil || len(c.Compared.Rows) != 2 || c.Work != "ev_w" || c.Compared.Mean.Amplitude.Change.Value != 80 {
			t.Fatalf("%q: %+v", date, c)
		}
		if len(c.Before) != 1 || c.Before[0] != "2026-05-02" || c.After[0] != "2026-05-21" {
			t.Errorf("%q: read on %v and %v", date, c.Before, c.After)
		}
		// what was read before no longer stands: 9 up was not read since
		if len(o.Running.Positions) != 2 || *o.Running.Mean != 3 {
			t.Errorf("%q: mean %v over %+v; want 3 over the two since the service", date, *o.Running.Mean,
				o.Running.Positions)
		}
		if se := o.Running.Positions[0].ClockSE; o.Running.Positions[0].Position != "6H" || se < 1 || se > 1.1 {
			t.Errorf("%q: the clock's term of a recording that was not corrected is %v", date, se)
		}
	}
	if works := opinion.Works(timed("")); len(works) != 1 || works[0].Item.ID != "ev_w" {
		t.Errorf("works %+v; want the service alone", works)
	}
}

func TestSinceVagueService(t *testing.T) {
	// told to have been at some time in 2019: all was read after it
	f := timed("2019")
	if _, ok := opinion.SinceWork(f, opinion.Works(f)[0]); ok {
		t.Error("readings were found before a service of 2019")
	}
	c, ok := opinion.SinceDay(f, time.Date(2026, 5, 10, 0, 0, 0, 0, time.UTC))
	if !ok || len(c.Compared.Rows) != 2 || c.Date != "2026-05-10" {
		t.Errorf("since a day: %+v, %v", c, ok)
	}
	if _, ok := opinion.SinceDay(f, time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)); ok {
		t.Error("a change since a day before all readings")
	}
}
