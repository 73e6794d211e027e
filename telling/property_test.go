package telling_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"midcase/condition"
	"midcase/evidence"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
	"midcase/telling"
)

// secret stands in everything that somebody typed for the shop alone.
const secret = "Zwirbelmann"

// drawWatch draws a watch of the invented book with anything that can be recorded of it.
func drawWatch(t *rapid.T) evidence.Watch {
	w := evidence.Watch{ID: "w_1", Maker: "Corvane", Reference: rapid.SampledFrom([]string{"KR-1", "KR-2", "KR-8-18",
		"KD-1"}).Draw(t, "reference"), Title: secret}
	at := time.Date(2026, 1, 5, 9, 0, 0, 0, time.UTC)
	add := func(d evidence.Data) {
		at = at.Add(time.Minute)
		w.Evidence = append(w.Evidence, evidence.Item{ID: evidence.ID(fmt.Sprintf("e%03d", len(w.Evidence))),
			At: at, By: secret, Data: d})
	}
	m, _ := mustBook().Maker("Corvane")
	ref, _ := m.Reference(w.Reference)
	for _, s := range ref.Slots {
		if len(s.Variants) == 0 || rapid.IntRange(0, 4).Draw(t, "seen") == 0 {
			continue
		}
		f := &evidence.Fitted{Slot: s.Slot, Description: secret}
		switch rapid.IntRange(0, 8).Draw(t, "fitted") {
		case 0:
			f.Absent = true
		case 1:
			f.Variant = evidence.Unknown
		case 2:
			f.Variant = secret
		default:
			f.Variant = rapid.SampledFrom(s.Variants).Draw(t, "variant").ID
		}
		add(f)
	}
	for range rapid.IntRange(1, 25).Draw(t, "findings") {
		term := rapid.SampledFrom(condition.Terms()).Draw(t, "term")
		f := &evidence.Finding{Slot: evidence.Slot(rapid.SampledFrom(term.Slots).Draw(t, "slot")), Term: term.ID,
			Note: secret,
			Where: rapid.SampledFrom([]string{"", "at 4", "at 3, 6 and 9", "from 5 to 8", "along the edge",
				secret}).Draw(t, "where"),
			Extent: rapid.SampledFrom([]float64{0, 0.1, 0.5}).Draw(t, "extent")}
		if !term.Good {
			f.Severity = rapid.IntRange(0, 4).Draw(t, "severity")
		}
		if rapid.IntRange(0, 30).Draw(t, "odd") == 0 {
			f.Term = "zapper_marks"
		}
		add(f)
	}
	for range rapid.IntRange(0, 3).Draw(t, "works") {
		work := &evidence.Work{What: rapid.SampledFrom([]string{"service", "repair of " + secret, "polish", "estimate",
			"new mainspring", "pressure test"}).Draw(t, "work"), By: secret, Text: secret,
			Cost: money.MustParse("731.17", "EUR")}
		if rapid.Bool().Draw(t, "replaced") {
			work.Replaced = []evidence.Replaced{{Slot: evidence.Crown}}
		}
		add(work)
	}
	for _, of := range []string{"reset", "alarm"} {
		if rapid.Bool().Draw(t, of) {
			add(&evidence.Trial{What: evidence.TrialFunction, Of: of, Note: secret,
				Result: rapid.SampledFrom([]string{"ok", "fails"}).Draw(t, "result")})
		}
	}
	if rapid.Bool().Draw(t, "need") {
		add(&evidence.Need{What: rapid.SampledFrom([]string{"service", "new mainspring"}).Draw(t, "needed"),
			Slot: evidence.Crystal, Cost: money.MustParse("731.17", "EUR"), Note: secret})
	}
	for _, what := range []string{"mid_case_diameter", "lug_thickness", "lug_width"} {
		if rapid.Bool().Draw(t, what) {
			add(&evidence.Dimension{What: what, MM: rapid.Float64Range(2, 40).Draw(t, "mm"), PlusMinusMM: 0.04})
		}
	}
	add(&evidence.Claim{About: "price", Text: secret, From: secret, Price: money.MustParse("731.17", "EUR")})
	if rapid.Bool().Draw(t, "serial") {
		add(&evidence.Mark{What: evidence.MarkSerial, Slot: evidence.Case, Text: "398765"})
	}
	return w
}

func mustBook() *refbook.Book {
	b, err := book()
	if err != nil {
		panic(err)
	}
	return b
}

func TestAnyWatchIsToldHonestly(t *testing.T) {
	t.Parallel()
	bookOf(t)
	rapid.Check(t, func(r *rapid.T) {
		w := drawWatch(r)
		f := evidence.Fold(w, day)
		o, err := opinion.Form(f, mustBook(), nil, opinion.Settings{}, day)
		if err != nil {
			r.Fatal(err)
		}
		s := telling.Subject{Opinion: o, File: f, Book: mustBook(),
			Offer: telling.Offer{Price: money.MustParse("9850", "EUR")}}
		told(r, s, func(got telling.Told) {
			honest(r, s, got)
			sure(r, s, got)
			for _, bad := range []string{secret, "731", "398765"} {
				if strings.Contains(got.Text, bad) || strings.Contains(got.Title, bad) {
					r.Errorf("%s %s tells %q:\n%s", got.For, got.Language, bad, got.Text)
				}
			}
		})
	})
}

// Every word of the trade that a text can hold has its word in every language.
func TestEveryWordIsInEveryLanguage(t *testing.T) {
	t.Parallel()
	const none = "no such word"
	check := func(set, id string) {
		for _, lang := range say.Languages()[1:] {
			w, _ := say.In(lang)
			if w.Value(say.Noun{Set: set, ID: id, English: none}, "") == none {
				t.Errorf("%s: no %s %s", lang, set, id)
			}
		}
	}
	for _, term := range condition.Terms() {
		check("term", term.ID)
		for severity := 1; severity <= 4 && !term.Good; severity++ {
			check("severity", fmt.Sprintf("%s.%d", term.ID, severity))
		}
	}
	for _, slot := range evidence.Slots() {
		check("slot", string(slot))
	}
	for _, what := range evidence.DimensionKinds() {
		check("size", what)
	}
	for _, what := range evidence.MarkKinds() {
		check("mark", what)
	}
	for _, what := range evidence.DocumentKinds() {
		check("document", what)
	}
	for _, view := range evidence.PhotoViews() {
		check("view", view)
	}
	for _, verdict := range opinion.Verdicts() {
		check("verdict", verdict)
	}
	for _, work := range telling.Works() {
		check("work", work)
	}
	for _, place := range telling.Places() {
		check("place", place)
	}
	for _, section := range telling.Sections() {
		check("section", string(section))
	}
	for grade := 1; grade <= 10; grade++ {
		check("grade", fmt.Sprint(grade))
	}
}

// What may not be offered is refused, with the reason.
func TestRefusals(t *testing.T) {
	t.Parallel()
	good := subjectOf(t, world().Watches[4].Evidence)
	for want, change := range map[string]func(*telling.Subject){
		"not the shop's to sell": func(s *telling.Subject) { s.Offer.Standing = telling.NotOurs },
		"is sold":                func(s *telling.Subject) { s.Offer.Standing = telling.Gone },
		"has no Corvane XX-9": func(s *telling.Subject) {
			s.Opinion.Watch.InBook, s.Opinion.Watch.Reference = false, "XX-9"
		},
		"Nobody has examined": func(s *telling.Subject) { s.File.Items = nil },
		"reports a match": func(s *telling.Subject) {
			s.File.Items = append(slices.Clone(s.File.Items), evidence.Item{ID: "e1",
				Data: &evidence.Check{Register: "R",
					Result: "match"}})
		},
	} {
		s := good
		change(&s)
		if _, err := telling.Make(s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v; want %q", err, want)
		}
	}
	if _, err := telling.Make(good); err != nil {
		t.Error(err)
	}
}

// A post that is too short to be honest is refused.
func TestAPostTooShortIsRefused(t *testing.T) {
	t.Parallel()
	plan, err := telling.Make(subjectOf(t, world().Watches[4].Evidence))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := plan.Tell(writerIn(t, "en"), telling.Post, 60); err == nil {
		t.Error("60 characters hold no watch with 21 points to disclose")
	}
}
