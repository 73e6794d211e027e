package document

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"midcase/market"
	"midcase/say"
)

func assigned(t testing.TB) Report {
	r := rich(t)
	r.Assigned = &Assignment{Purpose: "estate", Users: "the executor", Basis: market.AuctionHammer,
		Effective: time.Date(2025, 6, 30, 0, 0, 0, 0, time.UTC), Interest: say.That("valuation.interest-owned"),
		Assumptions: []string{"the bracelet left the factory with the watch"}}
	return r
}

func TestAssignmentIsChecked(t *testing.T) {
	today := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	good := *assigned(t).Assigned
	if p := good.Check(today); len(p) > 0 {
		t.Error(p)
	}
	for _, c := range []struct {
		field string
		spoil func(*Assignment)
	}{
		{"purpose", func(a *Assignment) { a.Purpose = "show" }},
		{"purpose", func(a *Assignment) { a.Purpose = "" }},
		{"for", func(a *Assignment) { a.Users = " " }},
		{"basis", func(a *Assignment) { a.Basis = "fair" }},
		{"effective", func(a *Assignment) { a.Effective = time.Time{} }},
		{"effective", func(a *Assignment) { a.Effective = today.AddDate(0, 0, 1) }},
	} {
		a := good
		c.spoil(&a)
		if p := a.Check(today); len(p) != 1 || p[0].Field != c.field || p[0].Want == "" {
			t.Errorf("%+v: %v, want one problem of %s", a, p, c.field)
		}
	}
}

// Each element that published standards ask for stands in a section of the paper, and what is signed is the
// certification alone.
func TestValuationHasItsElements(t *testing.T) {
	wr := newWriter(assigned(t))
	sections := wr.valuation()
	at := map[string]section{}
	signed := 0
	for _, s := range sections {
		at[s.id] = s
		for _, b := range s.blocks {
			if _, ok := b.(signing); ok {
				signed++
				if s.id != "certified" {
					t.Errorf("%s is signed", s.title)
				}
			}
		}
	}
	if signed != 1 {
		t.Errorf("signed %d times", signed)
	}
	for _, e := range valuationElements {
		if s, ok := at[e.section]; !ok || s.finding == "" {
			t.Errorf("“%s” stands nowhere", e.asked)
		}
	}
	if rows := at["elements"].blocks[0].(table).rows; len(rows) != len(valuationElements) {
		t.Errorf("%d of %d elements are in the table", len(rows), len(valuationElements))
	}
	var b bytes.Buffer
	if err := WriteValuationMarkdown(&b, assigned(t)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Estate or gift, for the executor", "30 Jun 2025", "hammer price at public auction",
		"The bracelet left the factory with the watch.", "My firm owns this watch and may sell it.",
		"My fee does not depend on the value", "not a licensed appraisal", "Cost of making one"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the paper does not say %q", want)
		}
	}
}

// A day before the watch was last examined rests on an assumption, and the paper says so.
func TestEffectiveDayBesideTheExamination(t *testing.T) {
	r := assigned(t)
	_, _, last := newWriter(r).valuing().inspected()
	for _, c := range []struct {
		day  time.Time
		want string
	}{
		{last.AddDate(-1, 0, 0), "the watch was as it was found"},
		{last, ""},
		{last.AddDate(0, 2, 0), "Nothing about the watch has changed"},
	} {
		r.Assigned.Effective = c.day
		var out struct {
			Assigned struct {
				Effective   string
				Assumptions []string
			}
		}
		var b bytes.Buffer
		if err := WriteValuationJSON(&b, r); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(b.Bytes(), &out); err != nil {
			t.Fatal(err)
		}
		said := strings.Join(out.Assigned.Assumptions, " ")
		if out.Assigned.Effective != c.day.Format(time.DateOnly) || c.want != "" && !strings.Contains(said, c.want) ||
			c.want == "" && strings.Contains(said, "the watch was as it was found") {
			t.Errorf("%s: %+v, want %q", c.day.Format(time.DateOnly), out.Assigned, c.want)
		}
	}
}
