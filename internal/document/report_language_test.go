package document

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/demo"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
)

// onDemo keeps the reports on the demo's watches, since the market is slow to fit.
var onDemo struct {
	once    sync.Once
	reports []Report
}

// demoReports are reports on the demo's watches, with all that can stand on them.
func demoReports(t *testing.T) []Report {
	t.Helper()
	onDemo.once.Do(func() { onDemo.reports = makeDemoReports(t) })
	if len(onDemo.reports) < 20 {
		t.Fatalf("%d reports on the demo's watches", len(onDemo.reports))
	}
	return slices.Clone(onDemo.reports)
}

func makeDemoReports(t *testing.T) []Report {
	t.Helper()
	day := time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC)
	world := demo.NewWorld(1)
	book, err := refbook.Load(world.Book)
	if err != nil {
		t.Fatal(err)
	}
	model := demoModel(t, world, day)
	var out []Report
	for _, w := range world.Watches {
		f := evidence.Fold(w.Evidence, day)
		o, err := opinion.Form(f, book, model, opinion.Settings{Basis: market.Retail, Currency: "EUR",
			Spots: []opinion.SpotPrice{{Element: "gold", Date: "2026-11-20",
				PerTroyOunce: money.MustParse("3100", "EUR")}}}, day)
		if err != nil {
			t.Fatal(err)
		}
		r := Report{Opinion: o, Items: f.Items, Number: "7", Issued: day, ValidUntil: day.AddDate(0, 3, 0),
			Purpose: UsualPurpose(), Annex: true, LogHead: "107 9f2c4d7a",
			Assigned: &Assignment{Purpose: "estate", Users: "X. Y.", Basis: market.Retail, Effective: day,
				Interest: say.That("valuation.interest-owned")},
			Traces: []Trace{madeTrace(t)}}
		for _, p := range evidence.All[*evidence.Photo](f) {
			r.Photos = append(r.Photos, Photo{Evidence: p.Item.ID, View: p.Data.View, Data: blank(t, 90)})
		}
		out = append(out, r)
	}
	return out
}

// demoModel fits the market on the demo's sales, as the shop would.
func demoModel(t *testing.T, world *demo.World, day time.Time) *market.Model {
	t.Helper()
	var csv, rates bytes.Buffer
	if err := world.WriteSales(&csv); err != nil {
		t.Fatal(err)
	}
	if err := world.WriteRates(&rates); err != nil {
		t.Fatal(err)
	}
	table, _, err := market.ReadCSV(&csv, "sales.csv", market.ReadOptions{Now: day})
	if err != nil {
		t.Fatal(err)
	}
	at, err := market.ReadRates(&rates)
	if err != nil {
		t.Fatal(err)
	}
	m, _, err := market.Fit(table, market.Options{Currency: "EUR", Rates: at, AsOf: day})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// papersOnWatches writes each paper on a watch itself as Markdown.
var papersOnWatches = map[string]func(*bytes.Buffer, Report) error{
	"report":         func(b *bytes.Buffer, r Report) error { return WriteMarkdown(b, r) },
	"valuation":      func(b *bytes.Buffer, r Report) error { return WriteValuationMarkdown(b, r) },
	"identification": func(b *bytes.Buffer, r Report) error { return WriteIdentificationMarkdown(b, r) },
	"trace":          func(b *bytes.Buffer, r Report) error { return WriteRunningMarkdown(b, r) },
}

// englishWords are small words of English that none of the other languages has; “or” is gold in French, and “was” what
// in German.
var englishWords = regexp.MustCompile(`(?i)(^|[^\p{L}'’])(the|of|and|is|were|has|have|not|with|from|which|this|that|` +
	`its|are|been|by|than|only|watch|dial|case|found|between|unknown|other|sold|asking|full|service)([^\p{L}]|$)`)

// kindOfStatement is a kind of statement, or an argument, that is in no catalogue.
var kindOfStatement = regexp.MustCompile(`\b[a-z]{3,}\.[a-z]+-[a-z-]+\b|\{[a-z]+\}`)

// No paper on a watch of the demo has a word of English in another language, but for what people and the book wrote:
// their words are not those of the program.
func TestPapersOnWatchesHaveNoEnglish(t *testing.T) {
	reports := demoReports(t)
	for _, lang := range say.Languages()[1:] {
		told := map[string]bool{}
		for _, r := range reports {
			typed := typedIn(r)
			r.Language = lang
			for _, annex := range []bool{false, true} {
				r.Annex = annex
				for name, write := range papersOnWatches {
					if !annex && name != "report" { // the others are the same without it
						continue
					}
					var b bytes.Buffer
					if err := write(&b, r); err != nil {
						t.Fatal(err)
					}
					for _, line := range strings.Split(b.String(), "\n") {
						line = without(line, typed)
						found := englishWords.FindString(line) + kindOfStatement.FindString(line)
						if found != "" && !told[found+line[:min(len(line), 30)]] && len(told) < 40 {
							told[found+line[:min(len(line), 30)]] = true
							t.Errorf("%s, %s of %s: %q in %q", lang, name, r.Opinion.Watch.Title, found, line)
						}
					}
				}
			}
		}
	}
}

// typedIn are the words on a report that somebody typed, the longest first.
func typedIn(r Report) []string {
	var out []string
	add := func(words ...string) {
		for _, w := range words {
			if len(w) > 2 {
				out = append(out, md(w), md(say.Capital(w)), md(opening(w)))
			}
		}
	}
	for _, it := range r.Items {
		add(it.Note, it.By)
		switch d := it.Data.(type) {
		case *evidence.Fitted:
			add(d.Description, d.Variant)
		case *evidence.Finding:
			add(d.Where, d.Note)
		case *evidence.Claim:
			add(d.Text, d.From)
		case *evidence.Photo:
			add(d.Caption)
		case *evidence.Work:
			add(d.By, d.Text)
		case *evidence.Need:
			add(d.What, d.Note)
		case *evidence.Trial:
			add(d.Of, d.Instrument, d.Note)
		case *evidence.Dimension:
			add(d.Instrument)
		case *evidence.Rate:
			add(d.Instrument)
		case *evidence.Check:
			add(d.Register)
		case *evidence.Ownership:
			add(d.Owner, d.How, d.Shown, d.Note)
		case *evidence.Mark:
			add(d.Text, d.Where, d.Device)
		case *evidence.Comparison:
			add(d.Other)
		}
	}
	for _, p := range r.Opinion.Parts {
		add(p.VariantName, p.Variant)
		for _, e := range p.Expected {
			add(e.Name)
		}
		for _, reason := range p.Reasons {
			if reason.Kind == "phrase.verbatim" {
				add(reason.String())
			}
		}
	}
	for _, rule := range r.Opinion.Rules { // the book's own rules are in the book's words
		if rule.Rule.Kind == "phrase.verbatim" {
			add(rule.Rule.String(), rule.Reason.String())
		}
	}
	for _, c := range r.Opinion.Value.Comparables {
		add(c.Title)
		for _, a := range c.Adjustments {
			if a.Feature == "dial" {
				add(a.Subject, a.Comparable)
			}
		}
	}
	add(r.Opinion.Watch.Title, r.Opinion.Watch.Name, r.Opinion.Watch.Family, r.Opinion.Watch.Calibre)
	slices.SortFunc(out, func(a, b string) int { return len(b) - len(a) })
	return out
}

// without is a line without some words and without ids.
func without(line string, words []string) string {
	for _, w := range words {
		line = strings.ReplaceAll(line, w, "…")
	}
	return regexp.MustCompile(`(ev_\S+|makers/\S+|\S+/\S+/\S+)`).ReplaceAllString(line, "…")
}

// Papers on a watch print in each language, in six pages without their annex, and as they were read.
func TestPapersOnWatchesInEachLanguage(t *testing.T) {
	var all bytes.Buffer
	r := demoReports(t)[4]
	for _, lang := range say.Languages() {
		r.Language = lang
		for _, name := range []string{"report", "valuation", "identification", "trace"} {
			r.Annex = name == "report"
			fmt.Fprintf(&all, "<!-- %s %s -->\n", lang, name)
			if err := papersOnWatches[name](&all, r); err != nil {
				t.Fatal(err)
			}
		}
	}
	golden(t, "languages.md", all.Bytes())
}

// The titles of sections have room in the contents, in each language.
func TestTitlesFitTheContents(t *testing.T) {
	const column = (rightX-leftX)/3 - 10
	r := demoReports(t)[4]
	for _, r.Language = range say.Languages() {
		w := newWriter(r)
		r.Annex = false
		short := newWriter(r)
		for _, s := range slices.Concat(w.sections(), w.valuation(), w.identification(), w.runningSheet(),
			short.sections()) {
			if is := faceTable.width(s.title); is > column {
				t.Errorf("%s: %q takes %.0f mm of %.0f", r.Language, s.title, is, float64(column))
			}
		}
		r.Annex = true
	}
}

// A report without its annex keeps to its pages in each language, whatever the watch.
func TestReportsKeepToTheirPagesInEachLanguage(t *testing.T) {
	for i, r := range demoReports(t)[:8] {
		for _, lang := range say.Languages() {
			r.Language, r.Annex, r.Assigned = lang, false, nil
			pdf := pdfOf(t, r)
			if n := bytes.Count(pdf, []byte("/Type /Page\n")); n == 0 || n > briefPages {
				t.Errorf("%s: %s: %d pages", lang, r.Opinion.Watch.Title, n)
			}
			if want := "/Lang (" + lang; !bytes.Contains(pdf, []byte(want)) {
				t.Errorf("%s: %s: the file is in another language", lang, r.Opinion.Watch.Title)
			}
			if dir := os.Getenv("RENDER"); dir != "" && i < 4 {
				name := filepath.Join(dir, fmt.Sprintf("%s-%02d.pdf", lang, i))
				if err := os.WriteFile(name, pdf, 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}
