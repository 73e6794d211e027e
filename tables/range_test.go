package tables_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/tables"
)

var askedDay = time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC)

func readAs(t *testing.T, text string, as tables.Kind, answers map[string]string) tables.Reading {
	t.Helper()
	r, err := tables.Read([]byte(text), as, tables.Options{Now: askedDay, Answers: answers})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A range of prices is asked about for all its rows at once; the end that counts comes in, and the range stays in the
// note.
func TestRangesAreAskedAbout(t *testing.T) {
	t.Parallel()
	const sales = "Date,Watch,Price\n2024-03-14,Orbenau T218,\"3,500-4,000 EUR\"\n2024-03-15,Orbenau T218,EUR 1.900/2.200\n" +
		"2024-03-16,Orbenau T218,2k to 2.5k EUR\n2024-03-17,Orbenau T218,1800 EUR\n2024-03-18,Orbenau T218,unsold est. 1800-2200\n" +
		"2024-03-19,Orbenau T218,4000-3500 EUR\n"
	asked := readAs(t, sales, tables.Sales, nil)
	i := slices.IndexFunc(asked.Questions, func(q tables.Question) bool { return q.ID == tables.AskRange })
	if i < 0 || !slices.Equal(asked.Questions[i].Lines, []int{2, 3, 4}) || len(asked.Rows) != 1 || len(asked.KeptOut) != 5 {
		t.Fatalf("questions %+v, %d rows, out %+v", asked.Questions, len(asked.Rows), asked.KeptOut)
	}
	for answer, want := range map[string][]string{"low": {"3500", "1900", "2000", "1800"}, "high": {"4000", "2200", "2500", "1800"}} {
		r := readAs(t, sales, tables.Sales, map[string]string{tables.AskRange: answer})
		var got []string
		for _, row := range r.Rows {
			p := row.Plain()
			got = append(got, p["price"])
			if p["currency"] != "EUR" || row.Line != 5 && !strings.Contains(p["note"], "price in the list") {
				t.Errorf("%s: line %d: %v", answer, row.Line, p)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %v; want %v", answer, got, want)
		}
	}
}

// What a stock list says in words where a price should be stays with the watch.
func TestAskingInWordsStaysWithTheWatch(t *testing.T) {
	t.Parallel()
	r := readAs(t, "Uhr;EK;VK;Bemerkung\nOrbenau T218;900 EUR;auf Anfrage;Glas verkratzt\nOrbenau \"T219\";800 EUR;1'900-2'200;\n",
		tables.Stock, nil)
	if len(r.Rows) != 2 || !strings.Contains(r.Rows[0].Plain()["note"], "auf Anfrage") ||
		!strings.Contains(r.Rows[0].Plain()["note"], "Glas verkratzt") || r.Rows[1].Plain()["reference"] != "T219" {
		t.Errorf("%+v", r.Rows)
	}
}

// Findings that do not say how bad they are wait for one answer; with it they are findings like others.
func TestSeveritiesAreAskedAboutOnce(t *testing.T) {
	t.Parallel()
	const stock = "Marke;Referenz;EK;Bemerkung\nOrbenau;T218;900 EUR;Zifferblatt fleckig, Krone ersetzt\n" +
		"Orbenau;T219;900 EUR;Gehäuse leicht poliert\nOrbenau;T220;900 EUR;Glas verkratzt\n"
	asked := readAs(t, stock, tables.Stock, nil)
	i := slices.IndexFunc(asked.Questions, func(q tables.Question) bool { return q.ID == tables.AskSeverity })
	if i < 0 || !slices.Equal(asked.Questions[i].Lines, []int{2, 4}) || !strings.HasPrefix(asked.Questions[i].About, "3 ") {
		t.Fatalf("%+v", asked.Questions)
	}
	r := readAs(t, stock, tables.Stock, map[string]string{tables.AskSeverity: "1"})
	n := 0
	for _, row := range r.Rows {
		for _, it := range row.Items {
			f := it.Data.(*evidence.Finding)
			if f.Severity != 1 || len(it.Open) > 0 {
				t.Errorf("line %d: %+v", row.Line, it)
			}
			n++
		}
	}
	if n != 4 || len(r.Questions) != 0 {
		t.Errorf("%d findings, questions %+v", n, r.Questions)
	}
	for id, answer := range map[string]string{tables.AskSeverity: "5", tables.AskRange: "middle"} {
		if _, err := tables.Read([]byte(stock), tables.Stock, tables.Options{Answers: map[string]string{id: answer}}); err == nil {
			t.Errorf("%s=%s was taken", id, answer)
		}
	}
}

func TestYesAndNoUnderBoxAndPapers(t *testing.T) {
	t.Parallel()
	r := readAs(t, "Marque;Réf;Prix d'achat;Boîte/papiers\nOrbenau;T218;900 €;oui/non\nOrbenau;T219;900 €;oui/oui\nOrbenau;T220;900 €;non/oui\n",
		tables.Stock, nil)
	var got []string
	for _, row := range r.Rows {
		got = append(got, row.Plain()["completeness"])
	}
	if !slices.Equal(got, []string{"watch", "full", "papers"}) {
		t.Errorf("%v; out %+v", got, r.KeptOut)
	}
}
