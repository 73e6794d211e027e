package document

import (
	"strings"

	"midcase/evidence"
	"midcase/internal/chart"
	"midcase/opinion"
	"midcase/say"
)

func (w *writer) dating() section {
	d := w.o.Dating
	s := section{id: "dating", title: w.String(say.That("report.when-made"))}
	if !d.Known {
		s.finding = w.cannot(d.CannotTell, say.That("report.no-date"))
	} else {
		s.finding = w.datingFinding(d)
	}
	if len(d.Months) > 0 {
		s.blocks = append(s.blocks, w.curve(d))
	}
	s.blocks = append(s.blocks, w.datingTable())
	if d.EDTF != "" {
		first, last, isRange := strings.Cut(d.EDTF, "/")
		if isRange && first != last {
			first = d.EDTF
		}
		s.blocks = append(s.blocks, para{text: w.String(say.That("report.in-edtf", say.Name("edtf",
			first))), note: true})
	}
	return s
}

// datingFinding names one month once.
func (t tongue) datingFinding(d opinion.Dating) string {
	if len(d.Ranges) > 1 {
		return t.told(say.That("report.dated-either", say.All("ranges", opinion.RangesSay(d)...)))
	}
	if d.Interval90[0] == d.Interval90[1] {
		return t.told(say.That("report.dated-month", say.Span("made", d.Interval90[0], d.Interval90[1])))
	}
	return t.told(say.That("report.dated", say.Span("made", d.Interval90[0], d.Interval90[1]), say.Month("median",
		d.Median)))
}

func (w *writer) curve(d opinion.Dating) figure {
	p := figure{drawing: chart.Dates(d, chart.Paper, w.Writer),
		cites: func(row int) string { return w.itemCites(d.Items[row]) }}
	if n := chart.Unplotted(d, chart.Paper); n > 0 {
		p.note = w.told(say.That("report.more-dates", say.Count("n", n)))
	}
	return p
}

func (w *writer) itemCites(it opinion.DatingItem) string {
	var ids []evidence.ID
	if it.Evidence != "" {
		ids = append(ids, it.Evidence)
	}
	return w.refs.cite(ids, it.Basis...)
}

func (w *writer) datingTable() table {
	t := table{
		columns: []column{{w.String(say.That("report.evidence-column")), 58, left},
			{w.String(say.That("report.with-the-others")), 40, left},
			{w.String(say.That("report.without-it")), 30, right}},
		empty: w.String(say.That("report.no-dating-evidence")),
	}
	for _, it := range w.o.Dating.Items {
		stands := cell{text: w.String(say.That("report.agrees"))}
		stands.sub = w.String(say.That("report.agreement", say.Chance("chance", it.SurpriseP)))
		if it.Disagrees {
			stands.text = w.String(say.That("report.disagrees"))
			if !it.Doubt.IsZero() {
				stands.sub = w.String(it.Doubt)
			}
		}
		t.rows = append(t.rows, row{
			cells: []cell{{text: w.sentence(it.Says)}, stands, {text: w.withoutIt(it)}},
			cites: w.itemCites(it), strong: it.Disagrees,
		})
	}
	return t
}

// withoutIt is the range that the other evidence gives.
func (t tongue) withoutIt(it opinion.DatingItem) string {
	if it.Without[0] == 0 && it.Without[1] == 0 {
		return "–"
	}
	return t.monthRange(it.Without)
}
