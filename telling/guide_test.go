package telling_test

import (
	"slices"
	"strings"
	"testing"

	"midcase/internal/demo"
	"midcase/refbook"
	"midcase/say"
	"midcase/telling"
)

// Every reference of the invented book has its guide in each language: with its versions in their time, and nothing of
// the book's notes, numbers and sources.
func TestGuideToEveryReference(t *testing.T) {
	t.Parallel()
	book, err := refbook.Load(demo.Book())
	if err != nil {
		t.Fatal(err)
	}
	guides, versions := 0, 0
	for _, m := range book.Makers {
		for _, ref := range m.References {
			for _, lang := range say.Languages() {
				w, _ := say.In(lang)
				g, ok := telling.GuideTo(w, lang, book, m.ID, ref.ID, nil)
				if !ok {
					t.Fatalf("%s %s has no guide", m.Name, ref.ID)
				}
				guides++
				var all []string
				for _, s := range g.Sections {
					all = append(append(all, s.Heading), s.Says...)
					for _, p := range s.Points {
						all = append(all, p.Says, p.By)
					}
					for _, v := range s.Versions {
						versions++
						all = append(all, v.Part, v.Name, v.Look, v.When)
						if v.When == "" || v.From < 0 || v.To > 1 || v.Service != (v.To == 0) {
							t.Errorf("%s %s, %s: version %+v", m.Name, ref.ID, lang, v)
						}
					}
				}
				text := strings.Join(all, "\n")
				for _, private := range append([]string{m.Note, ref.Note, ref.Source}, sources(ref)...) {
					if private != "" && strings.Contains(text, private) {
						t.Errorf("%s %s, %s tells %q", m.Name, ref.ID, lang, private)
					}
				}
				for _, kind := range []string{"guide.", "{", "}", "  "} {
					if i := strings.Index(text, kind); i >= 0 {
						t.Errorf("%s %s, %s: %q", m.Name, ref.ID, lang, text[max(0, i-20):min(len(text), i+40)])
					}
				}
			}
		}
	}
	if guides < 20 || versions < 100 {
		t.Errorf("%d guides with %d versions", guides, versions)
	}
	w, _ := say.In("en")
	if _, ok := telling.GuideTo(w, "en", book, "nobody", "X-1", nil); ok {
		t.Error("a reference that the book lacks has a guide")
	}
}

func sources(ref refbook.Reference) (out []string) {
	for _, s := range ref.Slots {
		out = append(out, s.Source)
		for _, v := range s.Variants {
			out = append(out, v.Source)
		}
	}
	return slices.Compact(out)
}
