package document

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/demo"
	"midcase/opinion"
	"midcase/refbook"
)

// A report without its annex has at most six pages, whatever the watch, and holds every verdict that a buyer has to
// hear of, every fault, every broken rule, every caution, the limits and the place to sign.
func TestBriefReport(t *testing.T) {
	day := time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC)
	world := demo.NewWorld(1)
	book, err := refbook.Load(world.Book)
	if err != nil {
		t.Fatal(err)
	}
	reports := []Report{rich(t)}
	for _, w := range world.Watches[:12] {
		f := evidence.Fold(w.Evidence, day)
		o, err := opinion.Form(f, book, nil, opinion.Settings{}, day)
		if err != nil {
			t.Fatal(err)
		}
		reports = append(reports, Report{Opinion: o, Items: f.Items, Issued: day, LogHead: "107 9f2c4d7a"})
	}
	for _, r := range reports {
		r.Annex = false
		pdf := pdfOf(t, r)
		if n := bytes.Count(pdf, []byte("/Type /Page\n")); n == 0 || n > briefPages {
			t.Errorf("%s: %d pages", r.Opinion.Watch.Title, n)
		}
		var b bytes.Buffer
		if err := WriteMarkdown(&b, r); err != nil {
			t.Fatal(err)
		}
		got := flat(b.String())
		wants := []string{"not a licensed appraisal", "annex of evidence", md(r.LogHead)}
		for _, p := range r.Opinion.Parts {
			if p.Verdict != opinion.Fits {
				wants = append(wants, p.Slot.Name(), p.Verdict)
			}
		}
		for _, g := range r.Opinion.Condition.Slots {
			for _, reason := range g.Reasons {
				if len(g.Evidence) > 0 {
					wants = append(wants, md(opening(reason.String())))
				}
			}
		}
		for _, c := range append(r.Opinion.Cautions, r.Opinion.Unknown...) {
			wants = append(wants, md(opening(c.String())))
		}
		for _, want := range wants {
			if !strings.Contains(got, flat(want)) {
				t.Errorf("%s: the report does not say %q", r.Opinion.Watch.Title, want)
			}
		}
	}
}
