package market_test

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"midcase/market"
)

// An update comes close to the fit of all sales, and leaves the old model alone.
func TestUpdateComesCloseToANewFit(t *testing.T) {
	all := invented(4000, 31)
	old := fitted(t, all[:3800])
	before := asJSON(t, value(t, old, subject))
	up, rep, err := old.Update(table(t, all[3800:]), market.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if rep.RowsUsed != 4000 || up.Sales() != 4000 || old.Sales() != 3800 {
		t.Errorf("%d sales after the update, %d in the old model", up.Sales(), old.Sales())
	}
	if asJSON(t, value(t, old, subject)) != before {
		t.Error("the old model changed")
	}
	again := fitted(t, all)
	for _, s := range []market.Subject{subject, {Maker: "Maker 1", Reference: "R7", Metal: "gold"}, {Maker: "Maker 1", Reference: "R11"}} {
		a, b, c := value(t, up, s), value(t, again, s), value(t, old, s)
		near(t, "median", a.Median, b.Median, 0.01)
		near(t, "scale", a.LogScale, b.LogScale, 0.05)
		if math.Abs(a.LogMedian-b.LogMedian) > math.Abs(c.LogMedian-b.LogMedian)+0.002 {
			t.Errorf("%+v: update %g, new fit %g, old fit %g", s, a.Median, b.Median, c.Median)
		}
		if a.SalesOfReference != b.SalesOfReference {
			t.Errorf("%d sales of the reference, want %d", a.SalesOfReference, b.SalesOfReference)
		}
	}
	var file bytes.Buffer
	if err := up.Encode(&file); err != nil {
		t.Fatal(err)
	}
	back, err := market.Decode(&file)
	if err != nil {
		t.Fatal(err)
	}
	if asJSON(t, value(t, back, subject)) != asJSON(t, value(t, up, subject)) {
		t.Error("the updated model does not survive its file")
	}
	// The same sales a second time add nothing.
	twice, rep, err := up.Update(table(t, all[3800:]), market.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if twice.Sales() != 4000 || rep.RowsRejected != 200 || !rep.Rejected[0].Duplicate() {
		t.Errorf("%d sales, %d rejected", twice.Sales(), rep.RowsRejected)
	}
}

func TestUpdateAsksForANewFit(t *testing.T) {
	m := fitted(t, invented(500, 32))
	for what, change := range map[string]func(*market.Sale){
		"maker": func(s *market.Sale) { s.Maker = "Newcomer" }, "reference": func(s *market.Sale) { s.Reference = "R99" },
		"dial": func(s *market.Sale) { s.Dial = "tropical" }, "venue": func(s *market.Sale) { s.Venue = "fair" },
		"quarter": func(s *market.Sale) { s.Date = "2031-01-01" },
	} {
		s := invented(501, 32)[500]
		change(&s)
		if _, _, err := m.Update(table(t, []market.Sale{s}), market.Options{}); !errors.Is(err, market.ErrRefit) {
			t.Errorf("new %s: %v", what, err)
		}
	}
	if _, _, err := m.Update(table(t, invented(400, 33)), market.Options{}); !errors.Is(err, market.ErrRefit) || !strings.Contains(err.Error(), "400 new sales") {
		t.Errorf("as many sales again: %v", err)
	}
	if _, _, err := m.Update(table(t, nil), market.Options{Currency: "USD"}); err == nil {
		t.Error("an update in another currency")
	}
}
