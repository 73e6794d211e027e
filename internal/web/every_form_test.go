package web

import (
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"midcase/internal/web/form"
)

// TestEveryForm draws every form of the program as it stands empty: each field is drawn once under its name, has
// a label that is tied to it, and names nothing that is not on the page.
func TestEveryForm(t *testing.T) {
	all := form.All()
	const fewest = 40
	if len(all) < fewest {
		t.Fatalf("%d forms; want the %d there were, or more", len(all), fewest)
	}
	for name, v := range all {
		var page strings.Builder
		if err := form.Fields(v).Render(t.Context(), &page); err != nil {
			t.Fatal(err)
		}
		d, err := goquery.NewDocumentFromReader(strings.NewReader(page.String()))
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		d.Find("input:not([type=radio]), select, textarea").Each(func(_ int, e *goquery.Selection) {
			field := e.AttrOr("name", "")
			if seen[field] || field == "" {
				t.Errorf("form %q: field %q is drawn twice, or without a name", name, field)
			}
			seen[field] = true
			if e.AttrOr("type", "") == "hidden" {
				return
			}
			label := strings.TrimSpace(d.Find("label[for='" + e.AttrOr("id", "") + "']").Text())
			if label == "" || strings.HasSuffix(label, ":") {
				t.Errorf("form %q: field %q has the label %q", name, field, label)
			}
			if hint := e.AttrOr("aria-describedby", ""); hint != "" && d.Find("[id='"+hint+"']").Length() != 1 {
				t.Errorf("form %q: field %q names the hint %q, which is not on the page", name, field, hint)
			}
		})
		for _, g := range v.Groups() {
			for _, f := range g.Fields {
				if !seen[f.Name] && f.Kind != form.Radio {
					t.Errorf("form %q: field %q is not drawn", name, f.Name)
				}
			}
		}
	}
}

// TestStepsOfEveryAct: each act that a page may offer has its step, each kind of evidence its form.
func TestStepsOfEveryAct(t *testing.T) {
	for act, s := range steps {
		if s.show == nil || s.take == nil {
			t.Errorf("step %q has no form", act)
		}
	}
	for _, act := range []string{"buy", "consign", "share", "exchange", "enter", "decline", "offer-again",
		"at_watchmaker", "photographed", "listed", "back", "reserve", "release", "memo", "sell",
		"refund", "allowance", "give-back", "work", "fee", "place", "write-off"} {
		if _, ok := steps[act]; !ok {
			t.Errorf("no step for %q", act)
		}
	}
}
