package web_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop"
)

// TestEveryLinkLeadsSomewhere follows each address on the watch files, the stock and
// the book: none is missing, and each part of a page that a link names is there.
func TestEveryLinkLeadsSomewhere(t *testing.T) {
	s := look(t)
	type target struct{ path, fragment, from string }
	var todo []target
	collect := func(from string, d elements) {
		d.Find("a[href], form[method=get][action], img[src], link[href]").Each(func(_ int, e elements) {
			for _, name := range []string{"href", "src", "action"} {
				v, ok := e.Attr(name)
				if !ok {
					continue
				}
				u, err := url.Parse(v)
				if err != nil {
					t.Errorf("%s: link %q: %v", from, v, err)
					continue
				}
				path := u.Path
				if path == "" {
					path = from
				} else if u.RawQuery != "" {
					path += "?" + u.RawQuery
				}
				todo = append(todo, target{path, u.Fragment, from})
			}
		})
	}
	for _, from := range []string{"/", "/book", "/counter?reference=KR-1", watchPath(soundWatch),
		watchPath(swappedWatch), watchPath(goldWatch), watchPath(goldWatch) + "/record?kind=fitted"} {
		collect(from, s.page(from).Selection)
	}
	pages := map[string]elements{}
	for _, x := range todo {
		d, seen := pages[x.path]
		if !seen {
			a := s.get(x.path)
			if a.StatusCode == http.StatusSeeOther {
				a = s.get(a.Header.Get("Location"))
			}
			if a.StatusCode != http.StatusOK {
				t.Errorf("%s links to %s: status %d", x.from, x.path, a.StatusCode)
			}
			d = a.page(t).Selection
			pages[x.path] = d
		}
		if x.fragment != "" && d.Find("[id]").FilterFunction(func(_ int,
			e elements) bool {
			return e.AttrOr("id", "") == x.fragment
		}).Length() == 0 {
			t.Errorf("%s links to %s#%s, which is not on that page", x.from, x.path, x.fragment)
		}
	}
	if len(pages) < 50 {
		t.Errorf("only %d addresses followed", len(pages))
	}
}

func TestPlantedBraceletIsNamed(t *testing.T) {
	d := look(t).page(watchPath(swappedWatch))
	want(t, d.Find("#summary"), "bracelet")
	want(t, d.Find("#part-bracelet .verdict"), "")
	if v := squeeze(d.Find("#part-bracelet .verdict").Text()); v != "does not belong" && v != "probably replaced" {
		t.Errorf("bracelet: %q; want it called out", v)
	}
	if d.Find("#part-bracelet details[open] .basis a").Length() == 0 {
		t.Error("the verdict cannot be opened to its basis")
	}
	if d.Find(".drawing a[href='#part-bracelet']").Length() != 1 {
		t.Error("the drawing does not lead to the bracelet")
	}
}

func TestFirstThingsFirst(t *testing.T) {
	d := look(t).page(watchPath(soundWatch))
	sentence := squeeze(d.Find("#summary").Text())
	for _, part := range []string{"Made in", "worth"} { // what to pay is for a watch that is offered
		if !strings.Contains(sentence, part) {
			t.Errorf("the sentence %q lacks %q", sentence, part)
		}
	}
	d.Find("#summary a").Each(func(_ int, e elements) {
		if d.Find(e.AttrOr("href", "#none")).Length() != 1 {
			t.Errorf("clause %q leads to no section", e.Text())
		}
	})
	if head := d.Find("thead th").Text(); strings.Contains(head, "Surprise") || !strings.Contains(head, "Agreement") {
		t.Error("the dating table must head its chances Agreement: they are high when an item agrees")
	}
	ids := map[string]int{}
	d.Find("[id]").Each(func(_ int, e elements) { ids[e.AttrOr("id", "")]++ })
	for id, n := range ids {
		if n > 1 {
			t.Errorf("id %q stands %d times on the page", id, n)
		}
	}
}

func TestOpinionOfAnotherDay(t *testing.T) {
	s := look(t)
	d := s.page(watchPath(soundWatch) + "?as-of=2020-01-01")
	want(t, d.Find(".place"), "as of 2020-01-01")
	want(t, d.Find("#unknown + ul"), "No evidence recorded yet")
	if n := d.Find(".taken .log li").Length(); n != 0 {
		t.Errorf("%d items of evidence before any was recorded", n)
	}
	for _, bad := range []string{"tomorrow", "2999-01-01", "2026-02-31"} {
		s.wantStatus(s.get(watchPath(soundWatch)+"?as-of="+bad), http.StatusUnprocessableEntity)
		s.wantStatus(s.get("/api"+watchPath(soundWatch)+"/opinion?as-of="+bad), http.StatusUnprocessableEntity)
	}
}

// TestJSONHasTheFieldsThatOthersRelyOn holds the API to the fields that scripts read.
func TestJSONHasTheFieldsThatOthersRelyOn(t *testing.T) {
	s := look(t)
	var o map[string]any
	if err := json.Unmarshal([]byte(s.get("/api"+watchPath(goldWatch)+"/opinion").body), &o); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{
		"watch", "as_of", "dating.median", "dating.interval_90.0", "dating.months.0.month", "dating.months.0.p",
		"dating.items.0.evidence", "dating.items.0.kind", "dating.items.0.surprise_p",
		"parts.0.slot", "parts.0.variant", "parts.0.p_original", "parts.0.verdict", "parts.0.reasons",
		"parts.0.evidence", "rules.0.rule", "rules.0.broken", "rules.0.reason", "rules.0.evidence",
		"condition.overall", "condition.slots.0.slot", "condition.slots.0.grade", "condition.slots.0.reasons",
		"metal.fine_g", "metal.fineness", "metal.melt_floor.amount", "metal.melt_floor.currency", "running",
		"value.basis", "value.currency", "value.median", "value.mean", "value.interval.50", "value.interval.80",
		"value.interval.90.1", "value.comparables.0.sale", "value.comparables.0.price",
		"value.comparables.0.adjustments.0.feature", "value.comparables.0.adjustments.0.percent",
		"value.comparables.0.adjusted", "value.comparables.0.weight",
		"deal.highest_price.amount", "deal.chance_of_loss", "deal.expected_profit", "unknown", "cautions",
	} {
		if !has(o, path) {
			t.Errorf("the opinion lacks %s", path)
		}
	}
	if got := o["as_of"]; got != "2026-11-02" {
		t.Errorf("as_of %v", got)
	}
	var watches []shop.Watch
	if err := json.Unmarshal([]byte(s.get("/api/watches?maker=Corvane&q=KR-2").body), &watches); err != nil ||
		len(watches) == 0 {
		t.Errorf("%d watches, %v", len(watches), err)
	}
	a := s.get("/api/watches/none")
	s.wantStatus(a, http.StatusNotFound)
	var failed map[string]string
	if json.Unmarshal([]byte(a.body), &failed) != nil || failed["error"] == "" {
		t.Errorf("an error must be JSON too: %s", a.body)
	}
}

func has(v any, path string) bool {
	name, rest, more := strings.Cut(path, ".")
	var next any
	ok := false
	switch x := v.(type) {
	case map[string]any:
		next, ok = x[name]
	case []any:
		at := int(name[0] - '0')
		if ok = at < len(x); ok {
			next = x[at]
		}
	}
	if !ok || !more {
		return ok
	}
	return has(next, rest)
}

func TestSaleOfAFigure(t *testing.T) {
	s := look(t)
	d := s.page(watchPath(soundWatch))
	link := d.Find("#value ~ table a[href^='/sales/']").First()
	sale := s.page(link.AttrOr("href", ""))
	want(t, sale.Find("h1"), "Sale of Corvane KR-1")
}

func TestAReportIsKeptAndHeldAgainstToday(t *testing.T) {
	s := serve(t)
	s.wantStatus(s.get(watchPath(soundWatch)+"/report.md"), http.StatusOK)
	want(t, s.page(watchPath(soundWatch)).Find("#earlier ~ table tbody tr"), "nothing")
	form := url.Values{"kind": {"finding"}, "slot": {"dial"}, "term": {"refinished"}, "severity": {"3"}}
	s.wantStatus(s.post(watchPath(soundWatch)+"/record", form), http.StatusSeeOther)
	want(t, s.page(watchPath(soundWatch)).Find("#earlier ~ table tbody tr"), "grade")
}
