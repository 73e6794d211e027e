package opinion_test

import (
	"slices"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
)

// What a seller says is never a fact: all but the price asked stays as it is.
func TestClaimsAreNoFacts(t *testing.T) {
	base := opinionOn(t, richWatch(), fixedMarket{})
	for _, claim := range []*evidence.Claim{
		{About: "date", Text: "made in 1964", From: "seller"}, {About: "serial", Text: "100001"}, {About: "originality",
			Text: "all original, unpolished"},
		{About: "price", Text: "asks 9000 EUR", Price: money.MustParse("9000", "EUR")},
	} {
		w := richWatch()
		w.Evidence = append(w.Evidence, evidence.Item{ID: "ev_claim", At: day(2), By: "Ines", Data: claim})
		o := opinionOn(t, w, fixedMarket{})
		for what, pair := range map[string][2]any{
			"date": {base.Dating, o.Dating}, "parts": {base.Parts, o.Parts}, "rules": {base.Rules,
				o.Rules}, "condition": {base.Condition, o.Condition},
			"value": {base.Value, o.Value}, "highest price": {base.Deal.HighestPrice,
				o.Deal.HighestPrice}, "metal": {base.Metal, o.Metal}, "unknown": {base.Unknown, o.Unknown},
		} {
			if jsonOf(t, pair[0]) != jsonOf(t, pair[1]) {
				t.Errorf("the claim about %s changes the %s", claim.About, what)
			}
		}
		if claim.About == "price" && o.Deal.AskedPrice.Amount() != "9000.00" {
			t.Errorf("the price asked is %v", o.Deal.AskedPrice)
		}
	}
}

func TestRules(t *testing.T) {
	for name, c := range map[string]struct {
		w     evidence.Watch
		rule  string
		slot  evidence.Slot
		words string
	}{
		"calibre": {watchOf("KR-1", serial("414459"), fitted(evidence.Movement, "C-46")), "calibre", evidence.Movement,
			"never fitted"},
		"calibre by its mark": {watchOf("KR-1", fitted(evidence.Movement, "unknown"),
			&evidence.Mark{What: evidence.MarkCalibre, Slot: evidence.Movement, Text: "C-46"}),
			"calibre", evidence.Movement, "C-46"},
		"bracelet of another metal": {watchOf("KR-8-18", fitted(evidence.Bracelet, "B-325")), "one metal",
			evidence.Bracelet, "The bracelet is"},
		"bracelet of another karat": {watchOf("KR-8-18", fitted(evidence.Bracelet, "B-314")), "one metal",
			evidence.Bracelet, "14 karat"},
		"end pieces of another case": {watchOf("KR-2", fitted(evidence.Bracelet, "B-310"),
			fitted(evidence.EndPieces, "E-18")),
			"end pieces", evidence.EndPieces, "E-18"},
		"lug width": {watchOf("KR-1", &evidence.Dimension{What: "lug_width", MM: 18},
			fitted(evidence.Case, "steel")), "lug width", evidence.Case, "18.0 mm"},
		"reference number": {watchOf("KR-1", &evidence.Mark{What: evidence.MarkReferenceNumber, Slot: evidence.Case,
			Text: "KR-2"}, fitted(evidence.Case, "steel")), "reference number", evidence.Case, "KR-2"},
		"fineness": {watchOf("KR-8-18", &evidence.Mark{What: evidence.MarkHallmark, Slot: evidence.CaseBack,
			Text: "585"}, fitted(evidence.Case, "gold14")), "fineness", evidence.Case, "585"},
		"papers": {watchOf("KR-1", serial("414459"), &evidence.Document{What: "papers",
			Date: edtf.MustParse("1968-11"), Serial: "414495"}), "papers", evidence.Papers, "414495"},
	} {
		o := opinionOn(t, c.w, nil)
		i := slices.IndexFunc(o.Rules, func(r opinion.Rule) bool {
			return r.Broken &&
				strings.Contains(r.Rule.String(), c.rule)
		})
		if i < 0 {
			t.Errorf("%s: no broken rule among %s", name, jsonOf(t, o.Rules))
			continue
		}
		r := o.Rules[i]
		if r.Slot != c.slot || !strings.Contains(r.Reason.String(), c.words) || len(r.Evidence) == 0 ||
			len(r.Basis) == 0 {
			t.Errorf("%s: %+v", name, r)
		}
		if c.slot == evidence.Papers {
			continue
		}
		p := verdictOf(t, o, c.slot)
		if p.Verdict != opinion.DoesNotBelong || !strings.Contains(strings.Join(say.Strings(p.Reasons), " "), c.words) {
			t.Errorf("%s: %s %q", name, p.Verdict, p.Reasons)
		}
		if p.POriginal != nil && *p.POriginal > 0.05 {
			t.Errorf("%s: it breaks a rule and is given a chance of %.2f", name, *p.POriginal)
		}
	}
}

// A sound watch breaks nothing.
func TestSoundWatch(t *testing.T) {
	o := opinionOn(t, richWatch(), fixedMarket{})
	for _, r := range o.Rules {
		if r.Broken {
			t.Errorf("%s: %s", r.Rule, r.Reason)
		}
	}
	for _, i := range o.Dating.Items {
		if i.Disagrees {
			t.Errorf("%s disagrees", i.Says)
		}
	}
	if got := o.Dating.Interval90; got[0] < month("1968-03") || got[1] > month("1968-12") {
		t.Errorf("a stamp of the second quarter of 1968 and papers of November: %v", got)
	}
}

func TestSerialThatDisagrees(t *testing.T) {
	w := richWatch()
	w.Evidence[0].Data = serial("150000")
	o := opinionOn(t, w, nil)
	i := slices.IndexFunc(o.Dating.Items, func(i opinion.DatingItem) bool { return i.Kind == "serial" })
	if i < 0 || !o.Dating.Items[i].Disagrees || !strings.Contains(o.Summary.Sentence.String(),
		"serial number disagrees") {
		t.Errorf("%s", o.Summary.Sentence)
	}
}

func TestRefinishedDialDoesNotFit(t *testing.T) {
	w := richWatch()
	w.Evidence = append(w.Evidence, evidence.Item{ID: "ev_r", At: day(1), By: "Ines",
		Data: &evidence.Finding{Slot: evidence.Dial, Term: "refinished", Severity: 3}})
	p := verdictOf(t, opinionOn(t, w, nil), evidence.Dial)
	if p.Verdict == opinion.Fits || !strings.Contains(p.Reasons[0].String(), "surface is not") ||
		!slices.Contains(p.Evidence, "ev_r") {
		t.Errorf("%s %q", p.Verdict, p.Reasons)
	}
	var plain, redone market.Subject
	opinionOn(t, richWatch(), fixedMarket{&plain})
	opinionOn(t, w, fixedMarket{&redone})
	if *redone.Originality >= *plain.Originality {
		t.Errorf("for the market it is as original as before: %.3f, %.3f", *redone.Originality, *plain.Originality)
	}
}

func TestServicePart(t *testing.T) {
	w := watchOf("KR-1", serial("414459"), fitted(evidence.Crystal, "crystal-service"))
	book := theBook(t)
	_, ref, _ := book.Reference("Corvane", "KR-1")
	slot, _ := ref.Slot(evidence.Crystal)
	i := slices.IndexFunc(slot.Variants, func(v refbook.Variant) bool { return v.Service })
	if i < 0 {
		t.Skip("the book has no service crystal")
	}
	w.Evidence[1].Data = fitted(evidence.Crystal, slot.Variants[i].ID)
	p := verdictOf(t, opinionOn(t, w, nil), evidence.Crystal)
	if !p.Service || p.Verdict != opinion.ProbablyReplaced || !strings.Contains(p.Reasons[0].String(), "Service part") {
		t.Errorf("%+v", p)
	}
}

// The northern works kept the early case back for one market, years after the other
// had changed: the book says so, and the opinion does not call it wrong.
func TestBackOfTheNorthernWorksFits(t *testing.T) {
	o, err := opinion.Form(evidence.Fold(world().Watches[15].Evidence, demoDay), theBook(t), nil, opinion.Settings{},
		demoDay)
	if err != nil {
		t.Fatal(err)
	}
	p := verdictOf(t, o, evidence.CaseBack)
	if p.Variant != "back-a" || p.Verdict == opinion.DoesNotBelong || p.Verdict == opinion.ProbablyReplaced ||
		*p.POriginal < 0.5 {
		t.Errorf("%s at %.2f: %q", p.Verdict, *p.POriginal, p.Reasons)
	}
}

// A part out of its time that was named with little confidence: look again at what
// it is, rather than call it wrong.
func TestLookAgain(t *testing.T) {
	at := func(confidence float64) opinion.Part {
		return verdictOf(t, opinionOn(t, watchOf("KR-1", serial("414459"),
			&evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack, Text: "II 68"},
			&evidence.Fitted{Slot: evidence.Clasp, Variant: firstClasp(t),
				Confidence: confidence}), nil), evidence.Clasp)
	}
	sure, unsure := at(1), at(0.6)
	if !opinion.IsTrouble(sure.Verdict) || strings.Contains(strings.Join(say.Strings(sure.Reasons), " "),
		"Check the identification") {
		t.Errorf("sure of the name: %s %q", sure.Verdict, sure.Reasons)
	}
	if unsure.Verdict == opinion.Fits || !strings.Contains(strings.Join(say.Strings(unsure.Reasons), " "),
		"Check the identification") || *unsure.POriginal <= *sure.POriginal {
		t.Errorf("unsure of the name: %s %.3f %q", unsure.Verdict, *unsure.POriginal, unsure.Reasons)
	}
}

// firstClasp is the clasp of the KR-1 that was given up long before 1968.
func firstClasp(t *testing.T) string {
	t.Helper()
	_, ref, _ := theBook(t).Reference("Corvane", "KR-1")
	s, ok := ref.Slot(evidence.Clasp)
	if !ok {
		t.Fatal("the book has no clasps")
	}
	for _, v := range s.Variants {
		for _, w := range v.Windows {
			if last, ok := w.Made.LastMonth(); ok && len(v.Windows) == 1 && last < month("1967-08") {
				return v.ID
			}
		}
	}
	t.Fatal("no clasp that ends before 1968")
	return ""
}
