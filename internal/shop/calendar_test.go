package shop_test

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/emersion/go-ical"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/trade"
)

func TestCalendar(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	rules := trade.RuleExamples()[0]
	rules.HoldDays = 10
	if err := h.Trade.SetRules(ctx, rules); err != nil {
		t.Fatal(err)
	}
	a, b := h.offered(t), h.offered(t)
	for _, id := range []shop.WatchID{a, b} {
		done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("100")}}, "Ines"))
	}
	done(t)(h.Trade.Move(ctx, a, trade.Moving{To: shop.OnMemo, Person: "c_partner", Due: edtf.MustParse("2026-03-09"),
		Place: "Überall, " + strings.Repeat("hinten ", 20)}, "Ines"))
	done(t)(h.Trade.Reserve(ctx, b, trade.Reserving{Terms: trade.Terms{Client: "c_buyer"},
		Until: edtf.MustParse("2026-03-05")}, "Ines"))
	if _, err := h.People.Show(ctx, shop.Showing{Watch: a, Client: "c_buyer", Kind: shop.Promised,
		Until: edtf.MustParse("2026-03-20")}, "Ines"); err != nil {
		t.Fatal(err)
	}
	all, err := h.Desk.Calendar(ctx, morning)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, x := range all {
		got = append(got, fmt.Sprintf("%s %d %s", x.Day, x.Number, x.What))
	}
	want := []string{"2026-03-05 2 reservation ends", "2026-03-09 1 due back from memo", "2026-03-12 1 hold ends",
		"2026-03-12 2 hold ends", "2026-03-20 1 promise ends"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	var feed, none bytes.Buffer
	if err := desk.WriteICalendar(&feed, "The Bench", all, morning); err != nil {
		t.Fatal(err)
	}
	foldedRight(t, feed.String())
	if strings.Contains(feed.String(), "Bruno") {
		t.Error("the feed names a client")
	}
	cal, err := ical.NewDecoder(&feed).Decode()
	if err != nil || len(cal.Events()) != len(all) {
		t.Fatalf("%v; want %d events", err, len(all))
	}
	for i, e := range cal.Events() {
		start, err := e.DateTimeStart(time.UTC)
		uid, err2 := e.Props.Text(ical.PropUID)
		if err != nil || err2 != nil || start.Format(time.DateOnly) != all[i].Day ||
			!strings.HasSuffix(uid, "@midcase") || e.Props.Get(ical.PropDateTimeStamp) == nil {
			t.Errorf("event %d: %v %v, %q", i, start, err, uid)
		}
	}
	if err := desk.WriteICalendar(&none, "", nil, morning); err != nil {
		t.Fatal(err)
	}
	foldedRight(t, none.String())
}

func TestAgenda(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	late, now, soon := h.offered(t), h.offered(t), h.offered(t)
	for i, id := range []shop.WatchID{late, now, soon} {
		until := morning.AddDate(0, 0, i).Format(time.DateOnly)
		if _, err := h.People.Show(ctx, shop.Showing{Watch: id, Client: "c_buyer", Kind: shop.Promised,
			Until: edtf.MustParse(until)}, "Ines"); err != nil {
			t.Fatal(err)
		}
		if _, err := h.People.PrivateFirst(ctx, id, edtf.MustParse(until), "Ines"); err != nil {
			t.Fatal(err)
		}
	}
	h.clock.now = morning.AddDate(0, 0, 1)
	overdue, today, later, err := h.Desk.Agenda(ctx)
	if err != nil {
		t.Fatal(err)
	}
	says := func(all []desk.Appointment) string {
		var out []string
		for _, a := range all {
			out = append(out, a.What)
		}
		slices.Sort(out)
		return strings.Join(out, ", ")
	}
	// A private list that is over is no duty; a promise that nobody answered is.
	if got := says(overdue); got != "promise ends" || overdue[0].Watch != late {
		t.Errorf("overdue: %s", got)
	}
	if got := says(today); got != "private list ends, promise ends" || today[0].Watch != now {
		t.Errorf("today: %s", got)
	}
	if got := says(later); got != "private list ends, promise ends" || later[0].Watch != soon {
		t.Errorf("later: %s", got)
	}
	if _, err := h.People.GoPublic(ctx, soon, "Ines"); err != nil {
		t.Fatal(err)
	}
	if _, err := h.People.Show(ctx, shop.Showing{Watch: late, Client: "c_buyer", Kind: shop.Withdrawn},
		"Ines"); err != nil {
		t.Fatal(err)
	}
	overdue, _, later, err = h.Desk.Agenda(ctx)
	if err != nil || len(overdue) != 0 || says(later) != "promise ends" {
		t.Errorf("answered: %v, %v, %v", overdue, later, err)
	}
}

// foldedRight holds what RFC 5545 (3.1) and RFC 6350 (3.2) ask of content lines.
func foldedRight(t *testing.T, text string) {
	t.Helper()
	if !strings.HasSuffix(text, "\r\n") || strings.Contains(strings.ReplaceAll(text, "\r\n", ""), "\n") {
		t.Errorf("lines must end with CRLF: %q", text)
	}
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		if len(line) > 75 || !utf8.ValidString(line) {
			t.Errorf("line of %d octets: %q", len(line), line)
		}
	}
}
