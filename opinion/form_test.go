package opinion_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
)

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
		"nothing recorded":    form(watchOf("KR-1"), theBook(t), nil),
		"reference not known": form(unknown, theBook(t), fixedMarket{}),
		"maker not known":     form(evidence.Watch{Maker: "Nobody", Reference: "1"}, theBook(t), noMarket{}),
		"nothing at all":      form(evidence.Watch{}, nil, nil),
		"no answer to value":  form(richWatch(), theBook(t), noMarket{}),
	}
}

func TestPoorestCasesSayWhatIsNotKnown(t *testing.T) {
	for name, words := range map[string]string{
		"no book, no market": "No reference book was given", "nothing recorded": "No evidence recorded yet", "reference not known": "has no Corvane none-such",
		"maker not known": "has no Nobody 1", "nothing at all": "No evidence recorded yet", "no answer to value": "no sale of anything like it",
	} {
		o := poorest(t)[name]
		if !slices.ContainsFunc(o.Unknown, func(u say.Statement) bool { return strings.Contains(u.String(), words) }) {
			t.Errorf("%s: %q does not say %q", name, o.Unknown, words)
		}
		if o.Summary.Sentence.IsZero() || len(o.Cautions) == 0 || o.Dating.Known && name != "nothing recorded" &&
			name != "no answer to value" {
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
		o, err := opinion.Form(evidence.Fold(w.Evidence, demoDay), theBook(t), fixedMarket{}, opinion.Settings{},
			demoDay)
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
		serial("99999"), fitted(evidence.Dial, "dial-gilt"), &evidence.Finding{Slot: evidence.Case, Term: "polished",
			Severity: 4},
		&evidence.Weighing{What: "bracelet", In: "air", G: 50}, &evidence.Document{What: "papers",
			Date: edtf.MustParse("1964-02"), Serial: "1"},
		&evidence.Claim{About: "price", Text: "asks 9 EUR", Price: money.MustParse("9",
			"EUR")}, &evidence.Dimension{What: "lug_width", MM: 18},
	} {
		without := richWatch()
		with := richWatch()
		at := day(1)
		with.Evidence = append(with.Evidence, evidence.Item{ID: "ev_x", At: at, By: "Ines", Data: d},
			evidence.Item{ID: "ev_y", At: at.Add(time.Hour), By: "Ines",
				Data: &evidence.Withdrawal{Of: "ev_x", Reason: "a slip"}})
		if a, b := jsonOf(t, opinionOn(t, without, fixedMarket{})), jsonOf(t,
			opinionOn(t, with, fixedMarket{})); a != b {
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
	if jsonOf(t, a.Dating) != jsonOf(t, b.Dating) || jsonOf(t, a.Parts) != jsonOf(t, b.Parts) ||
		jsonOf(t, a.Value) != jsonOf(t, b.Value) || a.Summary.Sentence.String() != b.Summary.Sentence.String() {
		t.Error("the order of items of one moment changes the opinion")
	}
}

// The opinion as of a day is what it was then, whatever is recorded later.
func TestAsOf(t *testing.T) {
	w := richWatch()
	before := jsonOf(t, opinionAsOf(t, w, fixedMarket{}, day(1)))
	w.Evidence = append(w.Evidence, evidence.Item{ID: "ev_late", At: day(5), By: "Ines",
		Data: &evidence.Finding{Slot: evidence.Dial, Term: "refinished", Severity: 3}})
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

func TestSettingsThatMakeNoSense(t *testing.T) {
	for _, s := range []opinion.Settings{{Payout: 1.5}, {Payout: -0.1}} {
		if _, err := opinion.Form(evidence.File{}, nil, nil, s, day(0)); err == nil ||
			!strings.Contains(err.Error(), "payout") {
			t.Errorf("%v: %v", s.Payout, err)
		}
	}
}

// The deal follows the value: no value or a value to insure gives no price.
func TestDeal(t *testing.T) {
	if d := opinionOn(t, richWatch(), nil).Deal; d.Known || d.CannotTell.IsZero() {
		t.Errorf("without a market: %+v", d)
	}
	o, err := opinion.Form(evidence.Fold(richWatch(), day(100)), theBook(t), fixedMarket{},
		opinion.Settings{Basis: "insurance"}, day(100))
	if err != nil || o.Deal.Known || o.Deal.CannotTell.IsZero() {
		t.Errorf("to insure: %+v, %v", o.Deal, err)
	}
	d := opinionOn(t, richWatch(), fixedMarket{}).Deal
	if !d.Known || d.HighestPrice.Float() >= 10000 || d.HighestPrice.Float() < 3000 || *d.ChanceOfLoss < 0 ||
		*d.ChanceOfLoss > 1 || d.AskedPrice.Amount() != "6500.00" {
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
