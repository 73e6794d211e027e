package document

import (
	"testing"

	"midcase/evidence"
	"midcase/internal/chart"
	"midcase/opinion"
	"midcase/say"
)

// TestEveryStyleHasItsPen: each style that a drawing of the rich report uses is known on
// paper, and so is that of every verdict.
func TestEveryStyleHasItsPen(t *testing.T) {
	r := rich(t)
	w := say.Writer{Catalogue: say.InEnglish(), Locale: say.English}
	var parts []opinion.Part
	verdicts := []string{opinion.Fits, opinion.ProbablyReplaced, opinion.DoesNotBelong, opinion.CannotTell,
		opinion.Missing}
	for i, s := range evidence.Slots() {
		parts = append(parts, opinion.Part{Slot: s, Verdict: verdicts[i%len(verdicts)]})
	}
	deal := []chart.Named{{Name: "asked", Price: 5000}}
	for _, d := range []chart.Drawing{
		chart.Dates(r.Opinion.Dating, chart.Paper, w), chart.Prices(r.Opinion.Value, deal, chart.Paper,
			w), chart.Parts(parts, chart.Paper, w),
		chart.Positions(r.Opinion.Running, chart.Paper, w), chart.Beats(madeTrace(t).Analysis, chart.Paper, w),
	} {
		if len(d.Marks) == 0 {
			t.Errorf("%s: nothing is drawn", d.Label)
		}
		known(t, d.Marks)
	}
}

func known(t *testing.T, marks []chart.Mark) {
	t.Helper()
	for _, m := range marks {
		style, text := "", false
		switch m := m.(type) {
		case chart.Line:
			style = m.Style
		case chart.Rect:
			style = m.Style
		case chart.Circle:
			style = m.Style
		case chart.Outline:
			style = m.Style
		case chart.Dots:
			style = m.Style
		case chart.Text:
			style, text = m.Style, true
		case chart.Link:
			known(t, m.Marks)
			continue
		}
		_, pen := pens[style]
		_, face := chartFaces[style]
		if text && !face || !text && !pen {
			t.Errorf("%T in the style %q: unknown on paper", m, style)
		}
	}
}
