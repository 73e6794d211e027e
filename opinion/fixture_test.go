package opinion_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

// day is the time of the nth item of a test.
func day(n int) time.Time { return time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC).AddDate(0, 0, n) }

// watchOf makes a watch of the reference KR-1 from data, each recorded a minute after
// the one before. Ids are ev_1, ev_2 and so on.
func watchOf(reference string, data ...evidence.Data) evidence.Watch {
	w := evidence.Watch{ID: "w_test", Maker: "Corvane", Reference: reference}
	for i, d := range data {
		w.Evidence = append(w.Evidence, evidence.Item{ID: evidence.ID(fmt.Sprintf("ev_%d", i+1)),
			At: day(0).Add(time.Duration(i) * time.Minute), By: "Ines", Data: d})
	}
	return w
}

func serial(text string) evidence.Data {
	return &evidence.Mark{What: evidence.MarkSerial, Text: text}
}

func fitted(slot evidence.Slot, variant string) evidence.Data {
	return &evidence.Fitted{Slot: slot, Variant: variant}
}

// richWatch is a sound watch of 1968 with something of every kind.
func richWatch() evidence.Watch {
	return watchOf("KR-1", serial("414459"),
		&evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack, Text: "II 68"},
		fitted(evidence.Case, "steel"), fitted(evidence.Dial, "dial-silver-2"), fitted(evidence.Hands,
			"hands-baton"), fitted(evidence.Movement, "C-41B"),
		&evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 1, Extent: 0.05},
		&evidence.Dimension{What: "mid_case_diameter", MM: 34.38, PlusMinusMM: 0.03},
		&evidence.Rate{Position: "CH", SecPerDay: 4, AmplitudeDeg: 265, BeatErrorMS: new(0.3)},
		&evidence.Rate{Position: "3H", SecPerDay: 7, AmplitudeDeg: 250, BeatErrorMS: new(0.4)},
		&evidence.Document{What: "papers", Date: edtf.MustParse("1968-11"), Serial: "414459"},
		&evidence.Claim{About: "price", Text: "asks 6500 EUR", Price: money.MustParse("6500", "EUR")},
		&evidence.Photo{Blob: "dial.jpg", View: "dial"},
		&evidence.Check{Register: "trade register", Date: edtf.MustParse("2026-03-01"), Result: "clear"})
}

func theBook(t testing.TB) *refbook.Book {
	t.Helper()
	b, err := worldBook()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// opinionOn forms an opinion with the world's book, as of a day after all items.
func opinionOn(t testing.TB, w evidence.Watch, m opinion.Market) opinion.Opinion {
	t.Helper()
	return opinionAsOf(t, w, m, day(100))
}

func opinionAsOf(t testing.TB, w evidence.Watch, m opinion.Market, asOf time.Time) opinion.Opinion {
	t.Helper()
	if err := w.Check(day(200)); err != nil {
		t.Fatalf("the test's own watch is not a good one: %v", err)
	}
	o, err := opinion.Form(evidence.Fold(w, asOf), theBook(t), m, opinion.Settings{}, asOf)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func jsonOf(t testing.TB, v any) string {
	t.Helper()
	b, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func verdictOf(t testing.TB, o opinion.Opinion, slot evidence.Slot) opinion.Part {
	t.Helper()
	p, ok := partOf(o, slot)
	if !ok {
		t.Fatalf("the opinion does not speak of the %s", slot)
	}
	return p
}

// fixedMarket values everything alike.
type fixedMarket struct{ subject *market.Subject }

func (m fixedMarket) Value(s market.Subject, asOf time.Time, basis market.Basis) (*market.Valuation, error) {
	if m.subject != nil {
		*m.subject = s
	}
	return &market.Valuation{Basis: basis, Definition: basis.Definition(), Currency: "EUR",
		AsOf: asOf.Format(time.DateOnly), Median: 10000, Mean: 10200,
		Interval:  map[int][2]float64{50: {8700, 11500}, 80: {7600, 13100}, 90: {6900, 14400}},
		LogMedian: 9.21, LogScale: 0.2, DoF: 6, SalesUsed: 100, SalesOfReference: 20}, nil
}

// noMarket has no answer.
type noMarket struct{}

func (noMarket) Value(market.Subject, time.Time, market.Basis) (*market.Valuation, error) {
	return nil, errors.New("no sale of anything like it")
}

func month(text string) edtf.Month {
	m, err := edtf.ParseMonth(text)
	if err != nil {
		panic(err)
	}
	return m
}
