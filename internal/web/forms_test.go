package web_test

import (
	"context"
	"encoding/csv"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
)

func TestTakeInRecordWithdraw(t *testing.T) {
	s := serve(t)
	a := s.post("/take-in", url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}, "serial": {"299300"},
		"asked": {"6500 EUR"}})
	s.wantStatus(a, http.StatusSeeOther)
	file := a.Header.Get("Location")
	d := s.page(file)
	want(t, d.Find("h1"), "Corvane KR-1")
	want(t, d.Find("#next + p + table"), "Look at the")
	before := squeeze(d.Find("#summary").Text())

	a = s.post(file+"/record", url.Values{"kind": {"fitted"}, "slot": {"hands"}, "variant": {"hands-baton"},
		"by": {"A. Bench"}})
	s.wantStatus(a, http.StatusSeeOther)
	d = s.page(a.Header.Get("Location"))
	want(t, d.Find(".notice"), "Added. What it changes:")
	want(t, d.Find(".notice li"), "made ")
	want(t, d.Find("#part-hands"), "Baton hands")
	if after := squeeze(d.Find("#summary").Text()); after == before {
		t.Errorf("the opinion did not change: %s", after)
	}

	undo := d.Find(".notice form")
	a = s.post(undo.AttrOr("action", ""), url.Values{"of": {undo.Find("[name=of]").AttrOr("value", "")},
		"reason": {undo.Find("[name=reason]").AttrOr("value", "")}})
	s.wantStatus(a, http.StatusSeeOther)
	d = s.page(a.Header.Get("Location"))
	if after := squeeze(d.Find("#summary").Text()); after != before {
		t.Errorf("after undo: %s; want as before: %s", after, before)
	}
	want(t, d.Find("#withdrawn + ol .gone"), "hands-baton")
}

func TestMistakesStandNextToTheirFields(t *testing.T) {
	s := serveBare(t)
	file := watchPath(soundWatch)
	for _, c := range []struct {
		path     string
		form     url.Values
		at, says string
		kept     string // a field whose typed text must still be there
	}{
		{"/take-in", url.Values{"reference": {"KR-1"}, "note": {"in a hurry"}}, ".field:has(#f-maker) .error",
			"the maker", "note"},
		{"/take-in", url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}, "asked": {"a lot"}},
			".field:has(#f-asked) .error", "a lot", "maker"},
		{file + "/record", url.Values{"kind": {"weighing"}, "what": {"watch"}, "g": {"-3"}, "in": {"air"},
			"instrument": {"balance 2"}}, ".field:has(#f-g) .error", "-3", "instrument"},
		{file + "/record", url.Values{"kind": {"weighing"}, "what": {"watch"}, "g": {"heavy"}, "in": {"air"},
			"instrument": {"balance 2"}}, ".field:has(#f-g) .error", "heavy", "instrument"},
		{file + "/record", url.Values{"kind": {"dimension"}, "what": {"lug_width"}, "mm": {"0"},
			"instrument": {"caliper 1"}}, ".field:has(#f-mm) .error", "", "instrument"},
		{file + "/record", url.Values{"kind": {"document"}, "what": {"papers"}, "date": {"2999-01"},
			"text": {"from the future"}}, ".field:has(#f-date) .error", "2999", "text"},
		{file + "/record", url.Values{"kind": {"fitted"}, "slot": {"dial"}, "description": {"no version chosen"}},
			"fieldset .error", "", "description"},
		{file + "/record", url.Values{"kind": {"finding"}, "slot": {"dial"}, "term": {"melted"}, "severity": {"1"},
			"where": {"at 4"}}, ".field:has(#f-term) .error", "melted", "where"},
		{file + "/change", url.Values{"version": {"1"}, "state": {"listed"}, "asking": {"-5"}, "place": {"safe"}},
			".field:has(#f-asking) .error", "-5", "place"},
		{file + "/change", url.Values{"version": {"1"}, "state": {"gone"}, "place": {"safe"}}, ".notice.wrong",
			"correct the marked field", "place"},
		{"/settings", url.Values{"wanted_margin": {"nine"}, "confidence": {"80"}},
			".field:has(#f-wanted_margin) .error", "nine", "confidence"},
	} {
		a := s.post(c.path, c.form)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		d := a.page(t)
		want(t, d.Find(c.at), c.says)
		typed := c.form.Get(c.kept)
		field := d.Find("[name=" + c.kept + "]")
		if got := field.AttrOr("value", field.Text()); got != typed {
			t.Errorf("POST %s: field %s holds %q; want what was typed, %q", c.path, c.kept, got, typed)
		}
		if d.Find("[role=alert]").Length() == 0 {
			t.Errorf("POST %s: nothing tells a listener that it failed", c.path)
		}
	}
}

func TestMistakesChangeNothing(t *testing.T) {
	s := serveBare(t)
	before, err := s.shop.Log(context.Background(), soundWatch)
	if err != nil {
		t.Fatal(err)
	}
	for _, form := range []url.Values{{"kind": {"weighing"}, "g": {"-1"}}, {"kind": {"nonsense"}}, {},
		{"kind": {"comparison"}, "slot": {"dial"}, "other": {""}, "result": {"better"}}} {
		s.wantStatus(s.post(watchPath(soundWatch)+"/record", form), http.StatusUnprocessableEntity)
	}
	s.wantStatus(s.post(watchPath(soundWatch)+"/withdraw", url.Values{"of": {"ev_none"}, "reason": {"x"}}),
		http.StatusUnprocessableEntity)
	s.wantStatus(s.post(watchPath(soundWatch)+"/withdraw", url.Values{"of": {string(before.Evidence[0].ID)}}),
		http.StatusUnprocessableEntity)
	after, err := s.shop.Log(context.Background(), soundWatch)
	if err != nil {
		t.Fatal(err)
	}
	if len(after.Evidence) != len(before.Evidence) {
		t.Errorf("%d items; want the %d there were", len(after.Evidence), len(before.Evidence))
	}
}

func TestSeveralReadingsInARow(t *testing.T) {
	s := serveBare(t)
	a := s.post(watchPath(soundWatch)+"/record", url.Values{"kind": {"dimension"}, "what": {"lug_width"},
		"mm": {"19.96"}, "instrument": {"caliper 9"}, "again": {"1"}})
	s.wantStatus(a, http.StatusSeeOther)
	d := s.page(a.Header.Get("Location"))
	want(t, d.Find(".notice"), "Added: lug width: 19.96")
	if got := d.Find("#f-instrument").AttrOr("value", ""); got != "caliper 9" {
		t.Errorf("instrument offered: %q; want the last used", got)
	}
}

func TestTwoPeopleChangeOneRecord(t *testing.T) {
	s := serveBare(t)
	path := watchPath(soundWatch) + "/change"
	mine := s.page(path).Find("[name=version]").AttrOr("value", "")
	form := url.Values{"version": {mine}, "state": {"reserved"}, "place": {"window"}, "asking": {"13000 EUR"}}
	s.wantStatus(s.post(path, form), http.StatusSeeOther)

	form.Set("place", "tray 9")
	form.Set("state", "listed")
	a := s.post(path, form) // made from the version before
	s.wantStatus(a, http.StatusConflict)
	d := a.page(t)
	want(t, d.Find("[role=alert]"), "tester changed this record")
	want(t, d.Find(".field:has(#f-place)"), "Theirs: window")
	if got := d.Find("#f-place").AttrOr("value", ""); got != "tray 9" {
		t.Errorf("my place: %q; want it kept", got)
	}
	w, err := s.shop.Watch(context.Background(), soundWatch)
	if err != nil {
		t.Fatal(err)
	}
	if w.Place != "window" || w.State != shop.Reserved {
		t.Errorf("on record: %s, %s; want the first change", w.State, w.Place)
	}
	form.Set("version", d.Find("[name=version]").AttrOr("value", ""))
	s.wantStatus(s.post(path, form), http.StatusSeeOther)
	w, _ = s.shop.Watch(context.Background(), soundWatch)
	if w.Place != "tray 9" {
		t.Errorf("on record: %s; want the second change after a second look", w.Place)
	}
}

func TestSettingsAreKept(t *testing.T) {
	s := serve(t)
	form := url.Values{}
	s.page("/settings").Find("main form input, main form select").Each(func(_ int, e elements) {
		v := e.AttrOr("value", "")
		if e.Is("select") {
			v = e.Find("[selected]").AttrOr("value", "")
		}
		form.Set(e.AttrOr("name", ""), v)
	})
	form.Set("wanted_margin", "35")
	s.wantStatus(s.post("/settings", form), http.StatusSeeOther)
	if got := s.page("/settings").Find("#f-wanted_margin").AttrOr("value", ""); got != "35" {
		t.Errorf("wanted margin %q; want 35", got)
	}
	want(t, s.page(watchPath(soundWatch)).Find(".opinion"), "margin of 35 %")
}

func TestViews(t *testing.T) {
	s := serveBare(t)
	a := s.post("/views", url.Values{"name": {"gold"}, "query": {"metal=gold18&sort=-value"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find(".desk-side a[aria-current]"), "gold")
	s.wantStatus(s.post("/views", url.Values{"name": {"  "}, "query": {"q=x"}}), http.StatusUnprocessableEntity)
	s.wantStatus(s.post("/views", url.Values{"name": {"gold"}}), http.StatusSeeOther)
	if s.page("/").Find(".desk-side form input[value=gold]").Length() > 0 {
		t.Error("the view is still there")
	}
}

func TestStockCSV(t *testing.T) {
	s := serveBare(t)
	s.wantStatus(s.post("/take-in", url.Values{"maker": {"=cmd()"}, "reference": {"+1"}}), http.StatusSeeOther)
	rows, err := csv.NewReader(strings.NewReader(s.get("/stock.csv?sort=title").body)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != 10 {
		t.Fatalf("%d rows; want a head and 9 watches", len(rows))
	}
	// Each amount says its own currency: what was paid in another is not called the shop's.
	for _, row := range rows[1:] {
		for i, name := range rows[0] {
			if of, ok := strings.CutSuffix(name, "_currency"); ok {
				amount := row[slices.Index(rows[0], map[string]string{"value": "value_median", "cost": "cost", "asking": "asking"}[of])]
				if (amount == "") != (row[i] == "") {
					t.Errorf("%s %q in %q", of, amount, row[i])
				}
			}
		}
	}
	if got := rows[1][2]; got != "'=cmd()" {
		t.Errorf("maker %q; want it kept from being a formula", got)
	}
	for _, row := range rows[1:] {
		if len(row) != len(rows[0]) {
			t.Errorf("%d cells; want %d", len(row), len(rows[0]))
		}
	}
}

// Whoever goes back to the counter's answer and keeps it again is led to the file that is there; another question makes
// another.
func TestBackAtTheCounterKeepsOnce(t *testing.T) {
	s := serve(t)
	keep := func(serial string) string {
		t.Helper()
		inputs := url.Values{"reference": {"KR-1"}, "serial": {serial}, "asked": {"6500"}}
		page := s.page("/counter?" + inputs.Encode()) // asked for anew, as after Back
		token, ok := page.Find(`form[action="/counter"][method=post] input[name="Midcase-Form"]`).Attr("value")
		if !ok {
			t.Fatal("the form that keeps has no token")
		}
		inputs.Set("Midcase-Form", token)
		a := s.post("/counter", inputs)
		s.wantStatus(a, http.StatusSeeOther)
		return a.Header.Get("Location")
	}
	first := keep("414461")
	if again := keep("414461"); again != first {
		t.Errorf("kept again it leads to %s; want %s", again, first)
	}
	if other := keep("414460"); other == first {
		t.Error("another question leads to the same file")
	}
}

func TestCounterMakesAFile(t *testing.T) {
	s := serve(t)
	inputs := url.Values{"reference": {"KR-1"}, "serial": {"1965"}, "condition": {"7"}, "set": {"papers"},
		"asked": {"6500"}}
	d := s.page("/counter?" + inputs.Encode())
	want(t, d.Find(".answer-now"), "made about 1965")
	want(t, d.Find(".looks li"), "Look at the")
	if n := d.Find("form.ask .field").Length(); n != 7 {
		t.Errorf("%d inputs; want the line and six", n)
	}
	a := s.post("/counter", inputs)
	s.wantStatus(a, http.StatusSeeOther)
	id := shop.WatchID(strings.TrimPrefix(a.Header.Get("Location"), "/watches/"))
	log, err := s.shop.Log(context.Background(), id)
	if err != nil {
		t.Fatal(err)
	}
	for _, it := range log.Evidence {
		if it.Kind() != evidence.KindClaim {
			t.Errorf("item %s is a %s; what was told is only claimed", it.ID, it.Kind())
		}
	}
	if len(log.Evidence) != 4 {
		t.Errorf("%d claims; want price, year, condition and set", len(log.Evidence))
	}
	for _, c := range []struct{ query, at string }{{"reference=none", ".field:has(#f-reference) .error"},
		{"reference=KR-1&asked=-1", ".field:has(#f-asked) .error"}, {"reference=KR-1&condition=11", ".notice.wrong"}} {
		a := s.get("/counter?" + c.query)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		if a.page(t).Find(c.at).Length() == 0 {
			t.Errorf("GET /counter?%s: no %s", c.query, c.at)
		}
	}
}
