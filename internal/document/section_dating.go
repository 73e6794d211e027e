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
	s := section{id: "dating", title: "When it was made"}
	if !d.Known {
		s.finding = cannot(d.CannotTell, "nothing in the evidence says when it was made")
	} else {
		s.finding = datingFinding(d)
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
		s.blocks = append(s.blocks, para{text: "In EDTF: " + first + ".", note: true})
	}
	return s
}

// datingFinding names one month once.
func datingFinding(d opinion.Dating) string {
	if len(d.Ranges) > 1 {
		return told(say.That("report.dated-either", say.All("ranges", opinion.RangesSay(d)...)))
	}
	if d.Interval90[0] == d.Interval90[1] {
		return told(say.That("report.dated-month", say.Span("made", d.Interval90[0], d.Interval90[1])))
	}
	return told(say.That("report.dated", say.Span("made", d.Interval90[0], d.Interval90[1]), say.Month("median",
		d.Median)))
}

func (w *writer) curve(d opinion.Dating) figure {
	p := figure{drawing: chart.Dates(d, chart.Paper, english),
		cites: func(row int) string { return w.itemCites(d.Items[row]) }}
	if n := chart.Unplotted(d, chart.Paper); n > 0 {
		p.note = told(say.That("report.more-dates", say.Count("n", n)))
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
		columns: []column{{"Evidence", 58, left}, {"With the other evidence", 40, left},
			{"Range without it", 30, right}},
		empty: "No evidence of the date.",
	}
	for _, it := range w.o.Dating.Items {
		stands := cell{text: "agrees", sub: "agreement " + percent(it.SurpriseP)}
		if it.Disagrees {
			stands = cell{text: "disagrees", sub: "agreement " + percent(it.SurpriseP)}
			if !it.Doubt.IsZero() {
				stands.sub = it.Doubt.String()
			}
		}
		t.rows = append(t.rows, row{
			cells: []cell{{text: opening(it.Says.String())}, stands, {text: withoutIt(it)}},
			cites: w.itemCites(it), strong: it.Disagrees,
		})
	}
	return t
}

// withoutIt is the range that the other evidence gives.
func withoutIt(it opinion.DatingItem) string {
	if it.Without[0] == 0 && it.Without[1] == 0 {
		return "–"
	}
	return monthRange(it.Without)
}
