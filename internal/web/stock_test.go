package web_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/money"
)

func TestSearchFindsTheClient(t *testing.T) {
	s := serveBare(t)
	ctx := t.Context()
	c, err := s.shop.People.Add(ctx, shop.Client{Name: "Åsa Wikström"})
	if err != nil {
		t.Fatal(err)
	}
	w, err := s.shop.Watch(ctx, goldWatch)
	if err != nil {
		t.Fatal(err)
	}
	w.Client, w.Note = c.ID, "cracked crystal"
	if _, err = s.shop.Trade.Change(ctx, w); err != nil {
		t.Fatal(err)
	}
	for text, found := range map[string]bool{"wikstrom": true, "asa crystal": true, "WIKSTRÖM KR-8": true,
		"wikstrom KR-1": false, "cracked": true, w.Serial: true} {
		rows := s.page("/?q=" + url.QueryEscape(text)).Find("table.stock tbody tr")
		if (rows.Length() == 1) != found {
			t.Errorf("%q finds %d watches", text, rows.Length())
		}
	}
}

func TestSeveralWatchesAtOnce(t *testing.T) {
	s := serveBare(t)
	for _, n := range []int{1, 2} {
		w, err := s.shop.Find(t.Context(), fmt.Sprint(n))
		if err != nil {
			t.Fatal(err)
		}
		w.Asking = money.MustParse("9500", "EUR")
		if _, err := s.shop.Trade.Change(t.Context(), w); err != nil {
			t.Fatal(err)
		}
	}
	asking := func(n int) string {
		w, err := s.shop.Find(t.Context(), fmt.Sprint(n))
		if err != nil {
			t.Fatal(err)
		}
		return w.Asking.Amount() + " in " + w.Place
	}
	place := strings.SplitN(asking(2), " in ", 2)[1]
	a := s.post("/stock/bulk", url.Values{"no": {"1", "2"}, "do": {"place"}, "place": {"tray 7"}})
	s.wantStatus(a, http.StatusOK)
	want(t, a.page(t).Find("[role=status]"), "2 changed")
	a = s.post("/stock/bulk", url.Values{"no": {"2"}, "do": {"percent"}, "percent": {"−10,5 %"}})
	s.wantStatus(a, http.StatusOK)
	if got := asking(2); got != "8500.00 in tray 7" {
		t.Errorf("asked after −10.5 %%: %s", got)
	}
	form := a.page(t).Find("form[action='/stock/undo']")
	undo := url.Values{}
	for _, name := range []string{"no", "place", "asking"} {
		form.Find("input[name=" + name + "]").Each(func(_ int, in elements) { undo.Add(name, in.AttrOr("value", "")) })
	}
	s.wantStatus(s.post("/stock/undo", undo), http.StatusOK)
	if got := asking(2); got != "9500.00 in tray 7" {
		t.Errorf("after undo: %s; it was in %q first", got, place)
	}
	for name, v := range map[string]url.Values{
		"none chosen":   {"do": {"place"}, "place": {"tray 7"}},
		"no place":      {"no": {"1"}, "do": {"place"}},
		"no percentage": {"no": {"1"}, "do": {"percent"}, "percent": {"some"}},
		"too much":      {"no": {"1"}, "do": {"percent"}, "percent": {"-100"}},
		"no such state": {"no": {"1"}, "do": {"state"}, "state": {"lost"}},
		"nothing":       {"no": {"1"}},
	} {
		a := s.post("/stock/bulk", v)
		if a.StatusCode != http.StatusUnprocessableEntity {
			t.Errorf("%s: status %d", name, a.StatusCode)
		}
		want(t, a.page(t).Find("[role=alert]"), "Nothing was changed")
	}
}

func TestPrintedLists(t *testing.T) {
	s := look(t)
	for do, path := range map[string]string{"labels": "/stock/labels?only=3", "list": "/stock/list?only=3",
		"csv": "/stock.csv?only=3"} {
		a := s.post("/stock/bulk", url.Values{"no": {"3"}, "do": {do}})
		s.wantStatus(a, http.StatusSeeOther)
		if got := a.Header.Get("Location"); got != path {
			t.Errorf("%s leads to %s", do, got)
		}
	}
	if n := s.page("/stock/labels?only=3,5").Find(".labels li").Length(); n != 2 {
		t.Errorf("%d labels", n)
	}
	if label := s.page("/stock/labels?only=3&language=de").Find(".labels[lang=de] li strong").Text(); label != "Nr. 3" {
		t.Errorf("a German label is headed %q", label)
	}
	a := s.post("/stock/bulk", url.Values{"scope": {"all"}, "query": {"q=KR-2"}, "do": {"list"}})
	want(t, s.page(a.Header.Get("Location")).Find("tbody"), "KR-2")
	if rows := strings.Count(s.get("/stock.csv?only=3").body, "\n"); rows != 2 {
		t.Errorf("%d lines of CSV", rows)
	}
}

func TestReportsOutOfDate(t *testing.T) {
	s := serveBare(t)
	if s.page("/").Find("a[href='/?todo=outdated']").Length() != 0 {
		t.Fatal("a report is out of date before there is one")
	}
	s.wantStatus(s.get(watchPath(soundWatch)+"/report.pdf"), http.StatusOK)
	if s.page("/").Find("a[href='/?todo=outdated']").Length() != 0 {
		t.Error("a report just made is out of date")
	}
	s.wantStatus(s.post(watchPath(soundWatch)+"/record", url.Values{"kind": {"claim"}, "about": {"owner"},
		"text": {"an aunt"}}), http.StatusSeeOther)
	want(t, s.page("/?todo=outdated").Find("table.stock tbody"), "KR-1")
}
