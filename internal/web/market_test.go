package web_test

import (
	"net/http"
	"strconv"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	assets "midcase/web"
)

// TestCurvesCanBeRead: the drawing says where it lies, and every row of the table carries
// its figures and its words for the script.
func TestCurvesCanBeRead(t *testing.T) {
	s := look(t)
	p := s.page("/market")
	for _, c := range []struct{ id, sign string }{{"index", ""}, {"premium", "\u00a0%"}} {
		curve := p.Find("section.curve#" + c.id)
		rows := curve.Find("table tbody tr")
		if rows.Length() < 8 || curve.Find("svg").Length() != 2 {
			t.Fatalf("%s: %d quarters, %d drawings", c.id, rows.Length(), curve.Find("svg").Length())
		}
		low, high := number(t, curve.Find("svg").First(), "data-low"), number(t, curve.Find("svg").First(), "data-high")
		rows.Each(func(_ int, r *goquery.Selection) {
			from, at, to := number(t, r, "data-low"), number(t, r, "data-value"), number(t, r, "data-high")
			if from < low-1e-3 || from > at || at > to || to > high+1e-3 {
				t.Errorf("%s: %g–%g–%g on an axis from %g to %g", c.id, from, at, to, low, high)
			}
			start := r.Find("th").Text() + ": " + r.Find("td").First().Text() + c.sign + "; 90\u00a0% range " + r.Find(".range").Text() + c.sign + "; "
			if says := r.AttrOr("data-says", ""); !strings.HasPrefix(says, start) {
				t.Errorf("%s says %q; want %q first", c.id, says, start)
			}
		})
		if !assets.Built("market.js") {
			continue // no script, and nothing for it on the page
		}
		latest := rows.Last().AttrOr("data-says", "")
		if got := curve.Find("output").Text(); got != latest || curve.Find("input[type=range]").AttrOr("aria-valuetext",
			"") != latest {
			t.Errorf("%s first says %q; want the latest quarter, %q", c.id, got, latest)
		}
	}
	want := map[bool]int{true: 1, false: 0}[assets.Built("market.js")]
	if got := p.Find("script[src*='market.js']").Length(); got != want {
		t.Errorf("%d scripts for the curves; want %d", got, want)
	}
	if s.page("/sales").Find("script[src*='market.js']").Length() != 0 {
		t.Error("a page without curves loads their script")
	}
	german := s.asked("de-DE", http.MethodGet, "/market", nil).page(t).Find("#index table tbody tr").Last()
	if cell := german.Find("td").First().Text(); !strings.Contains(cell, ",") ||
		!strings.Contains(german.AttrOr("data-says", ""), cell) || strings.Contains(german.AttrOr("data-value", ","),
		",") {
		t.Errorf("for a German reader the cell is %q, the words %q, the number %q", cell,
			german.AttrOr("data-says", ""), german.AttrOr("data-value", ""))
	}
}

func number(t *testing.T, s *goquery.Selection, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s.AttrOr(name, ""), 64)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return v
}
