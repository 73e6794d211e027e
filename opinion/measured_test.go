package opinion_test

import (
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

func TestMeasured(t *testing.T) {
	size := func(mm float64) opinion.Measure {
		o := opinionOn(t, watchOf("KR-1", &evidence.Dimension{What: "mid_case_diameter", MM: mm, PlusMinusMM: 0.03}),
			nil)
		return o.Measured[0]
	}
	full, worn := size(34.4), size(33.9)
	if full.SpokenMM == nil || *full.SpokenMM != 35 || !strings.Contains(full.Says.String(), "Known as “35 mm”") {
		t.Errorf("the size that it is spoken of: %+v", full)
	}
	if *full.NominalMM != 34.4 || *full.PRemoved > 0.5 || *worn.PRemoved < 0.99 ||
		!strings.Contains(worn.Says.String(), "0.50 mm under") {
		t.Errorf("%+v, %+v", full, worn)
	}
	before := 1.0
	for mm := 33.6; mm <= 34.6; mm += 0.05 {
		p := *size(mm).PRemoved
		if p > before+1e-9 {
			t.Fatalf("the larger the case, the less was taken off: at %.2f mm the chance rises to %g", mm, p)
		}
		before = p
	}
	for _, s := range opinionOn(t, watchOf("KR-1", fitted(evidence.Case, "steel"),
		&evidence.Dimension{What: "mid_case_diameter", MM: 34.39}), nil).Condition.Slots {
		if strings.Contains(strings.Join(say.Strings(s.Reasons), " "), "lost:") {
			t.Errorf("no loss is spoken of as one: %q", s.Reasons)
		}
	}
}

func TestMeltFloor(t *testing.T) {
	form := func(spots ...opinion.SpotPrice) opinion.Metal {
		o, err := opinion.Form(evidence.Fold(watchOf("KR-8-18", &evidence.Weighing{What: "bracelet", In: "air", G: 60},
			fitted(evidence.Bracelet, "B-318"),
			&evidence.Mark{What: evidence.MarkHallmark, Slot: evidence.Bracelet,
				Text: "750"}), day(100)), theBook(t), nil, opinion.Settings{Spots: spots}, day(100))
		if err != nil {
			t.Fatal(err)
		}
		return o.Metal
	}
	m := form()
	if m.FineG == nil || m.MeltFloor != nil || !strings.Contains(m.Says.String(), "no melt value") {
		t.Fatalf("without a price of gold: %+v", m)
	}
	spot := func(amount, currency string) opinion.SpotPrice {
		return opinion.SpotPrice{Element: "gold", PerTroyOunce: money.MustParse(amount, currency), Date: "2026-02-27"}
	}
	m = form(spot("3110.35", "EUR")) // 100 a gram: a troy ounce is 31.1034768 g
	if m.MeltFloor == nil || m.Spot == nil || m.Spot.Date != "2026-02-27" {
		t.Fatalf("%+v", m)
	}
	if got, want := m.MeltFloor.Float(), 100**m.FineG; got < want*0.999 || got > want*1.001 {
		t.Errorf("melt floor %.2f of %.2f g at 100 a gram", got, *m.FineG)
	}
	if m = form(spot("3000", "CHF")); m.MeltFloor != nil {
		t.Error("a floor in a currency that was not asked for")
	}
	var bracelet *opinion.MetalPart
	for i, p := range form().Parts {
		if p.Part.String() == "bracelet" {
			bracelet = &form().Parts[i]
		}
	}
	if bracelet == nil || bracelet.From.String() != "weighed" || bracelet.FineG > 45 || bracelet.FineG < 40 {
		t.Errorf("60 g of 750, but for springs and screws: %+v", bracelet)
	}
}
