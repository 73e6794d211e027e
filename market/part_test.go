package market_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"time"

	"midcase/market"
)

// asCSV is a sales file, with rows that will not do, rows that are there twice, and a note over two lines.
func asCSV(t testing.TB, sales []market.Sale) []byte {
	t.Helper()
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	row := func(cells ...string) {
		if err := w.Write(cells); err != nil {
			t.Fatal(err)
		}
	}
	row("date", "maker", "family", "reference", "metal", "dial", "year", "condition", "completeness", "venue", "basis",
		"price", "currency", "note")
	for i, s := range sales {
		cond := ""
		if s.Condition != nil {
			cond = strconv.FormatFloat(*s.Condition, 'f', -1, 64)
		}
		note := ""
		if i%97 == 0 {
			note = "polished,\n\"as bought\""
		}
		cells := []string{s.Date, s.Maker, s.Family, s.Reference, s.Metal, s.Dial, strconv.Itoa(s.Year), cond,
			s.Completeness, s.Venue, s.Basis, s.Price.Amount(), string(s.Price.Currency()), note}
		row(cells...)
		if i%211 == 0 {
			cells[1] = strings.ToUpper(cells[1])
			row(cells...) // the same sale, spelt otherwise
			row("banana", "M", "F", "R", "steel", "black", "1960", "", "watch", "dealer", "sold", "1", "EUR", "")
		}
		if i == len(sales)/2 {
			row(strings.Fields("too few")...)
		}
	}
	w.Flush()
	return b.Bytes()
}

func parts(t testing.TB, file []byte, n int) []*market.Part {
	t.Helper()
	var out []*market.Part
	for i := range n {
		p, err := market.ReadPart(bytes.NewReader(file), "sales.csv", i+1, n, int64(len(file)), market.ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := p.Encode(&b); err != nil {
			t.Fatal(err)
		}
		if got := market.PartNumber(bytes.NewReader(b.Bytes())); got != i+1 {
			t.Fatalf("part %d says that it is %d", i+1, got)
		}
		if p, err = market.DecodePart(&b); err != nil {
			t.Fatal(err)
		}
		out = append(out, p)
	}
	return out
}

func joined(t testing.TB, all []*market.Part) (*market.Table, []market.RowError) {
	t.Helper()
	var j market.Joining
	for _, p := range all {
		if err := j.Add(p, fmt.Sprintf("part-%d", p.N)); err != nil {
			t.Fatal(err)
		}
	}
	tab, bad, err := j.Table()
	if err != nil {
		t.Fatal(err)
	}
	return tab, bad
}

// A fit to parts that were read apart is the fit to the file, to the last bit: coefficients, variances, predictions.
func TestJoinedPartsFitAsOne(t *testing.T) {
	for name, n := range map[string]int{"small": 700, "50,000 sales": 50_000} {
		file := asCSV(t, invented(n, 5))
		whole, bad, err := market.ReadCSV(bytes.NewReader(file), "sales.csv")
		if err != nil {
			t.Fatal(err)
		}
		if len(bad) < 3 {
			t.Fatal("nothing is wrong with the file")
		}
		want, wantSays := fitOf(t, whole)
		for _, of := range []int{2, 3, 7} {
			tab, badJoined := joined(t, parts(t, file, of))
			got, says := fitOf(t, tab)
			if !bytes.Equal(got, want) || says != wantSays {
				t.Errorf("%s in %d parts: another fit\n%s\nwant\n%s", name, of, says, wantSays)
			}
			if fmt.Sprint(badJoined) != fmt.Sprint(bad) {
				t.Errorf("%s in %d parts: rejected\n%.500v\nwant\n%.500v", name, of, badJoined, bad)
			}
		}
	}
}

// fitOf is a fit as it is kept, and what it says of some watches.
func fitOf(t *testing.T, tab *market.Table) ([]byte, string) {
	t.Helper()
	m, rep, err := market.Fit(tab, market.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := m.Encode(&b); err != nil {
		t.Fatal(err)
	}
	v, err := m.Value(subject, time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC), market.Basis("retail"))
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), asJSON(t, []any{rep.Variance, rep.DoF, v})
}

func TestPartsThatDoNotBelongTogether(t *testing.T) {
	sales := invented(60, 5)
	three, other, two := parts(t, asCSV(t, sales), 3), parts(t, asCSV(t, sales[1:]), 3), parts(t, asCSV(t, sales), 2)
	for says, all := range map[string][]*market.Part{
		"part 2 of 3 is missing":                    {three[0], three[2]},
		"part 3 of 3 is missing":                    {three[0], three[1]},
		"part 2 of 3 is there twice":                {three[0], three[1], three[1], three[2]},
		"another version of the sales file":         {three[0], other[1], three[2]},
		"part-2 is one of 2 parts, part-1 one of 3": {three[0], two[1]},
		"no part was given":                         {},
	} {
		var j market.Joining
		var err error
		for _, p := range all {
			if err = j.Add(p, fmt.Sprintf("part-%d", p.N)); err != nil {
				break
			}
		}
		if err == nil {
			_, _, err = j.Table()
		}
		if !errors.Is(err, market.ErrPart) || !strings.Contains(err.Error(), says) {
			t.Errorf("%v, want %q", err, says)
		}
	}
	if _, err := market.ReadPart(strings.NewReader(""), "x", 3, 2, 0, market.ReadOptions{}); err == nil {
		t.Error("part 3 of 2 was read")
	}
	if _, err := market.DecodePart(strings.NewReader("midcase market fit 2\n")); !errors.Is(err, market.ErrNotFit) {
		t.Errorf("what is no part: %v", err)
	}
}
