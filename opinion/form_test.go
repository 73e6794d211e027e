package opinion_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
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

// watchOf makes a watch of the reference 4410 from data, each recorded a minute after
// the one before. Ids are ev_1, ev_2 and so on.
func watchOf(reference string, data ...evidence.Data) evidence.Watch {
	w := evidence.Watch{ID: "w_test", Maker: "Corvane", Reference: reference}
	for i, d := range data {
		w.Evidence = append(w.Evidence, evidence.Item{ID: evidence.ID(fmt.Sprintf("ev_%d", i+1)), At: day(0).Add(time.Duration(i) * time.Minute), By: "Ines", Data: d})
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
	return watchOf("4410", serial("414459"),
		&evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack, Text: "II 68"},
		fitted(evidence.Case, "steel"), fitted(evidence.Dial, "dial-silver-2"), fitted(evidence.Hands, "hands-baton"), fitted(evidence.Movement, "C-41B"),
		&evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 1, Extent: 0.05},
		&evidence.Dimension{What: "mid_case_diameter", MM: 35.98, PlusMinusMM: 0.03},
		&evidence.Rate{Position: "CH", SecPerDay: 4, AmplitudeDeg: 265, BeatErrorMS: 0.3},
		&evidence.Rate{Position: "3H", SecPerDay: 7, AmplitudeDeg: 250, BeatErrorMS: 0.4},
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
	return &market.Valuation{Basis: basis, Definition: basis.Definition(), Currency: "EUR", AsOf: asOf.Format(time.DateOnly), Median: 10000, Mean: 10200,
		Interval:  map[int][2]float64{50: {8700, 11500}, 80: {7600, 13100}, 90: {6900, 14400}},
		LogMedian: 9.21, LogScale: 0.2, DoF: 6, SalesUsed: 100, SalesOfReference: 20}, nil
}

// noMarket has no answer.
type noMarket struct{}

func (noMarket) Value(market.Subject, time.Time, market.Basis) (*market.Valuation, error) {
	return nil, errors.New("no sale of anything like it")
}

// poorest are opinions with as little to go by as can be.
func poorest(t testing.TB) map[string]opinion.Opinion {
	t.Helper()
	form := func(w evidence.Watch, b *refbook.Book, m opinion.Market) opinion.Opinion {
		o, err := opinion.Form(evidence.Fold(w, day(100)), b, m, opinion.Settings{}, day(100))
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	unknown := watchOf("none-such", serial("1"), fitted(evidence.Dial, "unknown"))
	return map[string]opinion.Opinion{
		"no book, no market":  form(richWatch(), nil, nil),
		"nothing recorded":    form(watchOf("4410"), theBook(t), nil),
		"reference not known": form(unknown, theBook(t), fixedMarket{}),
		"maker not known":     form(evidence.Watch{Maker: "Nobody", Reference: "1"}, theBook(t), noMarket{}),
		"nothing at all":      form(evidence.Watch{}, nil, nil),
		"no answer to value":  form(richWatch(), theBook(t), noMarket{}),
	}
}

func TestPoorestCasesSayWhatIsNotKnown(t *testing.T) {
	for name, words := range map[string]string{
		"no book, no market": "No reference book was given", "nothing recorded": "Nothing was on record", "reference not known": "has no Corvane none-such",
		"maker not known": "has no Nobody 1", "nothing at all": "Nothing was on record", "no answer to value": "no sale of anything like it",
	} {
		o := poorest(t)[name]
		if !slices.ContainsFunc(o.Unknown, func(u string) bool { return strings.Contains(u, words) }) {
			t.Errorf("%s: %q does not say %q", name, o.Unknown, words)
		}
		if o.Summary.Sentence == "" || len(o.Cautions) == 0 || o.Dating.Known && name != "nothing recorded" && name != "no answer to value" {
			t.Errorf("%s: %+v", name, o.Summary)
		}
		if strings.Contains(jsonOf(t, o), "null,\n    null") {
			t.Errorf("%s: an interval of nothing", name)
		}
	}
}

// TestGolden holds the opinions on three watches of the world to what they were: one
// that is right, one with a swapped bracelet and one with a bracelet of the wrong
// karat. The market is a fixed one, so that no change of the price model shows here.
func TestGolden(t *testing.T) {
	for _, i := range []int{0, 2, 4} {
		w := world().Watches[i]
		o, err := opinion.Form(evidence.Fold(w.Evidence, demoDay), theBook(t), fixedMarket{}, opinion.Settings{}, demoDay)
		if err != nil {
			t.Fatal(err)
		}
		var again opinion.Opinion
		if err := json.Unmarshal([]byte(jsonOf(t, o)), &again); err != nil {
			t.Fatal(err)
		}
		if jsonOf(t, again) != jsonOf(t, o) {
			t.Errorf("%s: reading the JSON and writing it again changes it", w.File)
		}
		o.Dating.PriorMonths = nil // long curves; package origin holds them
		for i := range o.Dating.Items {
			o.Dating.Items[i].Alone = nil
		}
		got := []byte(jsonOf(t, o) + "\n")
		path := filepath.Join("testdata", w.File)
		if *update {
			if err := os.MkdirAll("testdata", 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s: the opinion has changed; run with -update and read the difference", path)
		}
	}
}

// A withdrawn item counts as little as one that was never recorded.
func TestWithdrawnItemChangesNothing(t *testing.T) {
	for _, d := range []evidence.Data{
		serial("99999"), fitted(evidence.Dial, "dial-gilt"), &evidence.Finding{Slot: evidence.Case, Term: "polished", Severity: 4},
		&evidence.Weighing{What: "bracelet", In: "air", G: 50}, &evidence.Document{What: "papers", Date: edtf.MustParse("1964-02"), Serial: "1"},
		&evidence.Claim{About: "price", Text: "asks 9 EUR", Price: money.MustParse("9", "EUR")}, &evidence.Dimension{What: "lug_width", MM: 18},
	} {
		without := richWatch()
		with := richWatch()
		at := day(1)
		with.Evidence = append(with.Evidence, evidence.Item{ID: "ev_x", At: at, By: "Ines", Data: d},
			evidence.Item{ID: "ev_y", At: at.Add(time.Hour), By: "Ines", Data: &evidence.Withdrawal{Of: "ev_x", Reason: "a slip"}})
		if a, b := jsonOf(t, opinionOn(t, without, fixedMarket{})), jsonOf(t, opinionOn(t, with, fixedMarket{})); a != b {
			t.Errorf("%s: a withdrawn item shows in the opinion", d.Kind())
		}
	}
}

// Items of one moment count in whatever order they were written down, so long as
// they do not speak of the same thing.
func TestOrderWithinAMomentDoesNotMatter(t *testing.T) {
	w := richWatch()
	for i := range w.Evidence {
		w.Evidence[i].At = day(0)
	}
	turned := w
	turned.Evidence = slices.Clone(w.Evidence)
	slices.Reverse(turned.Evidence)
	a, b := opinionOn(t, w, fixedMarket{}), opinionOn(t, turned, fixedMarket{})
	if jsonOf(t, a.Dating) != jsonOf(t, b.Dating) || jsonOf(t, a.Parts) != jsonOf(t, b.Parts) || jsonOf(t, a.Value) != jsonOf(t, b.Value) || a.Summary.Sentence != b.Summary.Sentence {
		t.Error("the order of items of one moment changes the opinion")
	}
}

// The opinion as of a day is what it was then, whatever is recorded later.
func TestAsOf(t *testing.T) {
	w := richWatch()
	before := jsonOf(t, opinionAsOf(t, w, fixedMarket{}, day(1)))
	w.Evidence = append(w.Evidence, evidence.Item{ID: "ev_late", At: day(5), By: "Ines", Data: &evidence.Finding{Slot: evidence.Dial, Term: "refinished", Severity: 3}})
	if jsonOf(t, opinionAsOf(t, w, fixedMarket{}, day(1))) != before {
		t.Error("what was recorded later shows in the opinion as of the day before")
	}
	if jsonOf(t, opinionAsOf(t, w, fixedMarket{}, day(6))) == before {
		t.Error("what was recorded does not show afterwards")
	}
	o := opinionAsOf(t, w, fixedMarket{}, day(-1))
	if o.Watch.Serial != "" || len(o.Dating.Items) != 0 || len(o.Measured) != 0 {
		t.Error("before anything was recorded the opinion knows something")
	}
}

// Forming twice gives the same bytes and leaves the evidence as it was.
func TestFormIsPure(t *testing.T) {
	w := richWatch()
	file := evidence.Fold(w, day(100))
	before := fmt.Sprintf("%#v", jsonOf(t, file.Items))
	a := jsonOf(t, opinionOn(t, w, fixedMarket{}))
	if b := jsonOf(t, opinionOn(t, w, fixedMarket{})); a != b {
		t.Error("two runs differ")
	}
	if _, err := opinion.Form(file, theBook(t), fixedMarket{}, opinion.Settings{}, day(100)); err != nil {
		t.Fatal(err)
	}
	if fmt.Sprintf("%#v", jsonOf(t, file.Items)) != before {
		t.Error("the evidence was changed")
	}
}

// What a seller says is never a fact: all but the price asked stays as it is.
func TestClaimsAreNoFacts(t *testing.T) {
	base := opinionOn(t, richWatch(), fixedMarket{})
	for _, claim := range []*evidence.Claim{
		{About: "date", Text: "made in 1964", From: "seller"}, {About: "serial", Text: "100001"}, {About: "originality", Text: "all original, unpolished"},
		{About: "price", Text: "asks 9000 EUR", Price: money.MustParse("9000", "EUR")},
	} {
		w := richWatch()
		w.Evidence = append(w.Evidence, evidence.Item{ID: "ev_claim", At: day(2), By: "Ines", Data: claim})
		o := opinionOn(t, w, fixedMarket{})
		for what, pair := range map[string][2]any{
			"date": {base.Dating, o.Dating}, "parts": {base.Parts, o.Parts}, "rules": {base.Rules, o.Rules}, "condition": {base.Condition, o.Condition},
			"value": {base.Value, o.Value}, "highest price": {base.Deal.HighestPrice, o.Deal.HighestPrice}, "metal": {base.Metal, o.Metal}, "unknown": {base.Unknown, o.Unknown},
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
		"calibre": {watchOf("4410", serial("414459"), fitted(evidence.Movement, "C-46")), "calibre", evidence.Movement, "never fitted"},
		"calibre by its mark": {watchOf("4410", fitted(evidence.Movement, "unknown"), &evidence.Mark{What: evidence.MarkCalibre, Slot: evidence.Movement, Text: "C-46"}),
			"calibre", evidence.Movement, "C-46"},
		"bracelet of another metal": {watchOf("4418-18", fitted(evidence.Bracelet, "B-325")), "one metal", evidence.Bracelet, "The bracelet is"},
		"bracelet of another karat": {watchOf("4418-18", fitted(evidence.Bracelet, "B-314")), "one metal", evidence.Bracelet, "14 karat"},
		"end pieces of another case": {watchOf("4412", fitted(evidence.Bracelet, "B-310"), fitted(evidence.EndPieces, "E-19")),
			"end pieces", evidence.EndPieces, "E-19"},
		"lug width":        {watchOf("4410", &evidence.Dimension{What: "lug_width", MM: 18}, fitted(evidence.Case, "steel")), "lug width", evidence.Case, "18.0 mm"},
		"reference number": {watchOf("4410", &evidence.Mark{What: evidence.MarkReferenceNumber, Slot: evidence.Case, Text: "4412"}, fitted(evidence.Case, "steel")), "reference number", evidence.Case, "4412"},
		"fineness":         {watchOf("4418-18", &evidence.Mark{What: evidence.MarkHallmark, Slot: evidence.CaseBack, Text: "585"}, fitted(evidence.Case, "gold14")), "fineness", evidence.Case, "585"},
		"papers":           {watchOf("4410", serial("414459"), &evidence.Document{What: "papers", Date: edtf.MustParse("1968-11"), Serial: "414495"}), "papers", evidence.Papers, "414495"},
	} {
		o := opinionOn(t, c.w, nil)
		i := slices.IndexFunc(o.Rules, func(r opinion.Rule) bool { return r.Broken && strings.Contains(r.Rule, c.rule) })
		if i < 0 {
			t.Errorf("%s: no broken rule among %s", name, jsonOf(t, o.Rules))
			continue
		}
		r := o.Rules[i]
		if r.Slot != c.slot || !strings.Contains(r.Reason, c.words) || len(r.Evidence) == 0 || len(r.Basis) == 0 {
			t.Errorf("%s: %+v", name, r)
		}
		if c.slot == evidence.Papers {
			continue
		}
		p := verdictOf(t, o, c.slot)
		if p.Verdict != opinion.DoesNotFit || !strings.Contains(strings.Join(p.Reasons, " "), c.words) {
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
	if i < 0 || !o.Dating.Items[i].Disagrees || !strings.Contains(o.Summary.Sentence, "serial number disagrees") {
		t.Errorf("%s", o.Summary.Sentence)
	}
}

func TestRefinishedDialDoesNotFit(t *testing.T) {
	w := richWatch()
	w.Evidence = append(w.Evidence, evidence.Item{ID: "ev_r", At: day(1), By: "Ines", Data: &evidence.Finding{Slot: evidence.Dial, Term: "refinished", Severity: 3}})
	p := verdictOf(t, opinionOn(t, w, nil), evidence.Dial)
	if p.Verdict == opinion.Fits || !strings.Contains(p.Reasons[0], "surface is not") || !slices.Contains(p.Evidence, "ev_r") {
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
	w := watchOf("4410", serial("414459"), fitted(evidence.Crystal, "crystal-service"))
	book := theBook(t)
	_, ref, _ := book.Reference("Corvane", "4410")
	slot, _ := ref.Slot(evidence.Crystal)
	i := slices.IndexFunc(slot.Variants, func(v refbook.Variant) bool { return v.Service })
	if i < 0 {
		t.Skip("the book has no service crystal")
	}
	w.Evidence[1].Data = fitted(evidence.Crystal, slot.Variants[i].ID)
	p := verdictOf(t, opinionOn(t, w, nil), evidence.Crystal)
	if !p.Service || p.Verdict != opinion.ProbablyLater || !strings.Contains(p.Reasons[0], "service part") {
		t.Errorf("%+v", p)
	}
}

// The northern works delivered the old-style bracelet years after the other had
// changed: the book says so, and the opinion does not call it wrong.
func TestBraceletOfTheNorthernWorksFits(t *testing.T) {
	o, err := opinion.Form(evidence.Fold(world().Watches[15].Evidence, demoDay), theBook(t), nil, opinion.Settings{}, demoDay)
	if err != nil {
		t.Fatal(err)
	}
	p := verdictOf(t, o, evidence.Bracelet)
	if p.Verdict == opinion.DoesNotFit || p.Verdict == opinion.ProbablyLater || *p.POriginal < 0.5 {
		t.Errorf("%s at %.2f: %q", p.Verdict, *p.POriginal, p.Reasons)
	}
}

// A part out of its time that was named with little confidence: look again at what
// it is, rather than call it wrong.
func TestLookAgain(t *testing.T) {
	at := func(confidence float64) opinion.Part {
		return verdictOf(t, opinionOn(t, watchOf("4410", serial("414459"),
			&evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack, Text: "II 68"},
			&evidence.Fitted{Slot: evidence.Clasp, Variant: firstClasp(t), Confidence: confidence}), nil), evidence.Clasp)
	}
	sure, unsure := at(1), at(0.6)
	if sure.Verdict != opinion.DoesNotFit || strings.Contains(strings.Join(sure.Reasons, " "), "Look again") {
		t.Errorf("sure of the name: %s %q", sure.Verdict, sure.Reasons)
	}
	if unsure.Verdict == opinion.Fits || !strings.Contains(strings.Join(unsure.Reasons, " "), "Look again at what it is") || *unsure.POriginal <= *sure.POriginal {
		t.Errorf("unsure of the name: %s %.3f %q", unsure.Verdict, *unsure.POriginal, unsure.Reasons)
	}
}

// firstClasp is the clasp of the 4410 that was given up long before 1968.
func firstClasp(t *testing.T) string {
	t.Helper()
	_, ref, _ := theBook(t).Reference("Corvane", "4410")
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

func TestMeasured(t *testing.T) {
	size := func(mm float64) opinion.Measure {
		o := opinionOn(t, watchOf("4410", &evidence.Dimension{What: "mid_case_diameter", MM: mm, PlusMinusMM: 0.03}), nil)
		return o.Measured[0]
	}
	full, worn := size(36.0), size(35.5)
	if full.SpokenMM == nil || *full.SpokenMM != 37 || !strings.Contains(full.Says, "spoken of as 37 mm") {
		t.Errorf("the size that it is spoken of: %+v", full)
	}
	if *full.NominalMM != 36 || *full.PRemoved > 0.5 || *worn.PRemoved < 0.99 || !strings.Contains(worn.Says, "0.50 mm under") {
		t.Errorf("%+v, %+v", full, worn)
	}
	before := 1.0
	for mm := 35.2; mm <= 36.2; mm += 0.05 {
		p := *size(mm).PRemoved
		if p > before+1e-9 {
			t.Fatalf("the larger the case, the less was taken off: at %.2f mm the chance rises to %g", mm, p)
		}
		before = p
	}
	for _, s := range opinionOn(t, watchOf("4410", fitted(evidence.Case, "steel"), &evidence.Dimension{What: "mid_case_diameter", MM: 35.99}), nil).Condition.Slots {
		if strings.Contains(strings.Join(s.Reasons, " "), "lost measured") {
			t.Errorf("no loss is spoken of as one: %q", s.Reasons)
		}
	}
}

func TestMeltFloor(t *testing.T) {
	form := func(spots ...opinion.SpotPrice) opinion.Metal {
		o, err := opinion.Form(evidence.Fold(watchOf("4418-18", &evidence.Weighing{What: "bracelet", In: "air", G: 60}, fitted(evidence.Bracelet, "B-318"),
			&evidence.Mark{What: evidence.MarkHallmark, Slot: evidence.Bracelet, Text: "750"}), day(100)), theBook(t), nil, opinion.Settings{Spots: spots}, day(100))
		if err != nil {
			t.Fatal(err)
		}
		return o.Metal
	}
	m := form()
	if m.FineG == nil || m.MeltFloor != nil || !strings.Contains(m.Says, "no melt floor") {
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
		if p.Part == "bracelet" {
			bracelet = &form().Parts[i]
		}
	}
	if bracelet == nil || bracelet.From != "weighed" || bracelet.FineG > 45 || bracelet.FineG < 40 {
		t.Errorf("60 g of 750, but for springs and screws: %+v", bracelet)
	}
}

// Every figure leads to something that exists: an item in force, an entry of the
// book, a sale or a setting.
func TestBasisExists(t *testing.T) {
	book := theBook(t)
	all := ofWorld(t)
	for _, w := range world().Watches {
		ids := map[string]bool{}
		for _, it := range w.Evidence.Evidence {
			ids[string(it.ID)] = true
		}
		n := 0
		walk(instance(t, all[w.File]), func(key string, v any) {
			switch key {
			case "basis", "value_basis":
				list, ok := v.([]any)
				if !ok {
					return // the basis of value is text
				}
				for _, b := range list {
					n++
					source, id := b.(map[string]any)["source"].(string), b.(map[string]any)["id"].(string)
					switch {
					case source == "evidence" && !ids[id], source == "sale" && !strings.HasPrefix(id, "sale_"), source == "setting" && id == "":
						t.Errorf("%s: %s %q is not there", w.File, source, id)
					case source == "book":
						maker, _, _ := strings.Cut(id, "/")
						if _, ok := book.Maker(maker); !ok {
							t.Errorf("%s: the book has no %q", w.File, id)
						}
					case source != "evidence" && source != "sale" && source != "setting":
						t.Errorf("%s: a basis of no known kind: %q", w.File, source)
					}
				}
			case "evidence":
				list, ok := v.([]any)
				if !ok {
					list = []any{v}
				}
				for _, id := range list {
					n++
					if !ids[id.(string)] {
						t.Errorf("%s: no item %v", w.File, id)
					}
				}
			}
		})
		if n < 30 {
			t.Errorf("%s: only %d references to a basis", w.File, n)
		}
		for _, i := range all[w.File].Dating.Items {
			if len(i.Basis) < 1 || i.Says == "" {
				t.Errorf("%s: %s %s says nothing of where it is from", w.File, i.Kind, i.Evidence)
			}
		}
	}
}

func walk(v any, see func(key string, v any)) {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			see(k, x)
			walk(x, see)
		}
	case []any:
		for _, x := range v {
			walk(x, see)
		}
	}
}

func TestSettingsThatMakeNoSense(t *testing.T) {
	for _, s := range []opinion.Settings{{Payout: 1.5}, {Payout: -0.1}} {
		if _, err := opinion.Form(evidence.File{}, nil, nil, s, day(0)); err == nil || !strings.Contains(err.Error(), "payout") {
			t.Errorf("%v: %v", s.Payout, err)
		}
	}
}

// The deal follows the value: no value or a value to insure gives no price.
func TestDeal(t *testing.T) {
	if d := opinionOn(t, richWatch(), nil).Deal; d.Known || d.CannotTell == "" {
		t.Errorf("without a market: %+v", d)
	}
	o, err := opinion.Form(evidence.Fold(richWatch(), day(100)), theBook(t), fixedMarket{}, opinion.Settings{Basis: "insurance"}, day(100))
	if err != nil || o.Deal.Known || o.Deal.CannotTell == "" {
		t.Errorf("to insure: %+v, %v", o.Deal, err)
	}
	d := opinionOn(t, richWatch(), fixedMarket{}).Deal
	if !d.Known || d.HighestPrice.Float() >= 10000 || d.HighestPrice.Float() < 3000 || *d.ChanceOfLoss < 0 || *d.ChanceOfLoss > 1 || d.AskedPrice.Amount() != "6500.00" {
		t.Errorf("%+v", d)
	}
}

var sink opinion.Opinion

// BenchmarkForm forms the opinion on a rich watch with the world's 12,000 sales
// fitted. Goal: under 5 ms.
func BenchmarkForm(b *testing.B) {
	m, err := worldFit()
	if err != nil {
		b.Fatal(err)
	}
	file := evidence.Fold(world().Watches[0].Evidence, demoDay)
	book := theBook(b)
	for _, c := range []struct {
		name string
		m    opinion.Market
	}{{"with value", m}, {"without value", nil}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if sink, err = opinion.Form(file, book, c.m, opinion.Settings{}, demoDay); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("encode", func(b *testing.B) {
		for b.Loop() {
			if _, err := json.Marshal(sink); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func month(text string) edtf.Month {
	m, err := edtf.ParseMonth(text)
	if err != nil {
		panic(err)
	}
	return m
}
