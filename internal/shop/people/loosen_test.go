package people_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/condition"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/people"
	"midcase/internal/shop/shoptest"
	"midcase/money"
)

// looser gives every way of asking for a little less.
func looser(w shop.Want) map[string]shop.Want {
	out := map[string]shop.Want{}
	for name, drop := range map[string]func(*shop.Want){
		"maker":       func(w *shop.Want) { w.Maker = "" },
		"reference":   func(w *shop.Want) { w.Reference = "" },
		"family":      func(w *shop.Want) { w.Family = "" },
		"metal":       func(w *shop.Want) { w.Metal = "" },
		"dial":        func(w *shop.Want) { w.Dial = "" },
		"budget":      func(w *shop.Want) { w.Budget = money.Money{} },
		"condition":   func(w *shop.Want) { w.ConditionFloor = 0 },
		"originality": func(w *shop.Want) { w.OriginalityFloor = 0 },
		"set":         func(w *shop.Want) { w.Set = "" },
		"years":       func(w *shop.Want) { w.YearFrom, w.YearTo = 0, 0 },
		"must":        func(w *shop.Want) { w.Must = "" },
		"must not":    func(w *shop.Want) { w.MustNot = "" },
		"a lower grade": func(w *shop.Want) {
			if w.ConditionFloor > 1 {
				w.ConditionFloor--
			}
		},
		"a lower share": func(w *shop.Want) { w.OriginalityFloor /= 2 },
		"more years":    func(w *shop.Want) { w.YearFrom = min(w.YearFrom, 1960) },
		"a higher budget": func(w *shop.Want) {
			if w.Budget.Sign() > 0 {
				w.Budget = eur("90000")
			}
		},
	} {
		less := w
		drop(&less)
		if less != w && less.Names() {
			out[name] = less
		}
	}
	return out
}

// termID is the id of a term of findings by one of its names.
func termID(name string) string {
	t, ok := condition.Lookup(name)
	if !ok {
		panic("no term " + name)
	}
	return t.ID
}

// Asking for less never lowers a match: a client who would take any watch of the family is
// met by one of them no worse than one who names the reference.
func TestLooseningNeverLowersAMatch(t *testing.T) {
	pick := func(t *rapid.T, name string, from ...string) string { return rapid.SampledFrom(from).Draw(t, name) }
	rapid.Check(t, func(t *rapid.T) {
		w := shop.Want{Maker: pick(t, "maker", "", "Corvane", "Lindqvarn"), Reference: pick(t, "reference", "", "KR-1",
			"KR-2"), Family: pick(t, "family", "", "Plenaire"), Metal: pick(t, "metal", "", "steel", "gold18"),
			Dial: pick(t, "dial", "", "gilt", "black", "red"), Set: pick(t, "set", "", "papers", "full"),
			Must: pick(t, "must", "", "unpolished"), MustNot: pick(t, "must not", "", "relumed"),
			ConditionFloor:   rapid.SampledFrom([]float64{0, 5, 7, 9}).Draw(t, "condition"),
			OriginalityFloor: rapid.SampledFrom([]float64{0, 0.5, 0.85, 1}).Draw(t, "originality"),
			YearFrom:         rapid.SampledFrom([]int{0, 1960, 1968}).Draw(t, "from")}
		if b := rapid.IntRange(0, 20000).Draw(t, "budget"); b > 500 {
			w.Budget = eur(fmt.Sprint(b))
		}
		f := people.Facts{Maker: "Corvane", Reference: "KR-1", Family: "plenaire", FamilyName: "Plenaire", Metal: "steel",
			Dial: pick(t, "have dial", "", "black gilt", "silver, not original red"), Set: pick(t, "have set", "", "watch",
				"full"), Has: map[string]bool{termID("relumed"): rapid.Bool().Draw(t, "relumed")},
			Asking: eur(fmt.Sprint(rapid.IntRange(100, 20000).Draw(t, "asking"))), Currency: "EUR",
			Value: rapid.Float64Range(0, 20000).Draw(t, "value"), Years: map[int]float64{1966: 0.4, 1968: 0.6}}
		if rapid.Bool().Draw(t, "graded") {
			g, o := rapid.Float64Range(1, 10).Draw(t, "grade"), rapid.Float64Range(0, 1).Draw(t, "share")
			f.Condition, f.Originality, f.ConditionSD = &g, &o, 0.5
		}
		fit, price, ok := people.ScoreWant(w, f, shoptest.Morning)
		for name, less := range looser(w) {
			fit2, price2, ok2 := people.ScoreWant(less, f, shoptest.Morning)
			if ok && !ok2 || fit2 < fit-1e-12 || price2 < price-1e-12 {
				t.Fatalf("without %s: fit %v, price %v, listed %v; before %v, %v, %v\n%+v\n%+v", name, fit2, price2, ok2, fit,
					price, ok, w, f)
			}
		}
	})
}

// At the ceiling that a buyer named nine in ten still buy; a hundred euros buy nothing.
func TestBudgets(t *testing.T) {
	f := people.Facts{Maker: "Corvane", Asking: eur("5000"), Currency: "EUR", Value: 5000}
	for _, c := range []struct {
		budget string
		want   float64
	}{{"5000", 0.9}, {"10000", 1}, {"4274", 0.49}, {"3000", 0.0015}} {
		_, price, ok := people.ScoreWant(shop.Want{Maker: "Corvane", Budget: eur(c.budget)}, f, shoptest.Morning)
		if math.Abs(price-c.want) > 0.01 || ok != (c.want > 0.05) {
			t.Errorf("budget %s: %.4f, listed %v; want %.3f", c.budget, price, ok, c.want)
		}
	}
}

func TestWishesReadTheRecordNotWords(t *testing.T) {
	f := people.Facts{Reference: "KR-1", Dial: "Silver sunburst, not original red, restored",
		Has: map[string]bool{termID("relumed"): true}, HasNot: map[string]bool{termID("cracked"): true}}
	for _, c := range []struct {
		want shop.Want
		fit  float64
	}{{shop.Want{Dial: "red"}, 0}, {shop.Want{Dial: "silver"}, 1}, {shop.Want{Dial: "store"}, 0},
		{shop.Want{Reference: "KR-1", MustNot: "relumed"}, 0}, {shop.Want{Reference: "KR-1", MustNot: "relume"}, 0}, {shop.Want{Reference: "KR-1", MustNot: "cracked"}, 1},
		{shop.Want{Reference: "KR-1", Must: "cracked"}, 0}, {shop.Want{Reference: "KR-1", Must: "unpolished"}, 0.5}} {
		if fit, _, ok := people.FitWant(c.want, f, shoptest.Morning); ok != (c.fit > 0) || ok && fit != c.fit {
			t.Errorf("%+v: fit %v; want %v", c.want, fit, c.fit)
		}
	}
}

// Who was promised the watch comes first, whatever the others' scores; others are told from
// which day on it may be theirs. A sale counts once, and not at all once taken back.
func TestThePromiseComesFirst(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	w, err := h.Intake.TakeIn(ctx, arrival("5000"), "Ines")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []shop.Client{
		{ID: "c_first", Name: "First", CallFirst: true, Wants: []shop.Want{{Maker: "Corvane", Budget: eur("9000")}}},
		{ID: "c_promised", Name: "Promised", Email: "a@b.example", Wants: []shop.Want{{Maker: "Corvane", Budget: eur("4900")}},
			Consents: []shop.Consent{{Purpose: "offers", Channel: "email", Given: true, At: shoptest.Morning}}},
		{ID: "c_small", Name: "Small", CallFirst: true, Wants: []shop.Want{{Maker: "Corvane", Budget: eur("100")}}},
	} {
		if _, err := h.People.Add(ctx, c); err != nil {
			t.Fatal(err)
		}
	}
	show := func(kind string) {
		t.Helper()
		v := shop.Showing{Watch: w.ID, Client: "c_promised", Kind: kind}
		if kind == shop.Promised {
			v.Until = shop.DateOf(shoptest.Morning.AddDate(0, 0, 5))
		}
		if _, err := h.People.Show(ctx, v, "Ines"); err != nil {
			t.Fatal(err)
		}
	}
	show(shop.Promised)
	all, err := h.People.MatchWatch(ctx, w.ID)
	if err != nil || len(all) != 2 {
		t.Fatalf("%+v, %v", all, err)
	}
	if p := all[0]; p.Client != "c_promised" || !p.Promised || !p.MayContact || len(p.Contacts) != 1 ||
		p.Contacts[0] != (shop.Contact{Channel: "email", Consent: shop.ConsentGiven}) {
		t.Errorf("first: %+v", p)
	}
	if o := all[1]; o.Client != "c_first" || o.MayContact || o.Refused || o.NotBefore.String() !=
		shoptest.Morning.AddDate(0, 0, 6).Format("2006-01-02") {
		t.Errorf("the other: %+v", o)
	}
	for _, c := range []struct {
		kind, want string
	}{{shop.Accepted, "bought 1 of 1 shown before"}, {shop.Accepted, "bought 1 of 1 shown before"},
		{shop.Withdrawn, "bought 0 of 1 shown before"}} {
		show(c.kind)
		all, err := h.People.MatchWatch(ctx, w.ID)
		if err != nil {
			t.Fatal(err)
		}
		found := ""
		for _, m := range all {
			if m.Client == "c_promised" {
				found = fmt.Sprint(m.Reasons)
			}
		}
		if !contains(found, c.want) {
			t.Errorf("after %s: %s; want %s", c.kind, found, c.want)
		}
	}
}

func TestMisspeltNamesAreAskedAbout(t *testing.T) {
	t.Parallel()
	h, ctx := shoptest.New(t).WithClients(t), shop.As(t.Context(), "Ines")
	_, _, err := h.People.AddWant(ctx, "c_buyer", shop.Want{Maker: "Corvanne"})
	refusedFor(t, "a misspelt maker", err, "maker")
	if _, _, err := h.People.AddWant(ctx, "c_buyer", shop.Want{Maker: "Corvanne", AsTyped: true}); err != nil {
		t.Errorf("as typed: %v", err)
	}
	_, _, err = h.People.AddWant(ctx, "c_buyer", shop.Want{Maker: "Corvane", MustNot: "nonsense"})
	refusedFor(t, "no term", err, "must_not")
}

func contains(s, part string) bool { return strings.Contains(s, part) }

func arrival(asking string) intake.Arrival {
	return intake.Arrival{Maker: "Corvane", Reference: "KR-1", Asking: eur(asking)}
}
