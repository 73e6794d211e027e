package document

import (
	"fmt"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/chart"
	"midcase/opinion"
)

func (w *writer) dating() section {
	d := w.o.Dating
	s := section{id: "dating", title: "When it was made"}
	if !d.Known {
		s.finding = opening("cannot tell: " + orElse(d.CannotTell, "nothing in the evidence says when it was made"))
	} else {
		s.finding = fmt.Sprintf("Between %s, with a chance of 90%s%%; most likely about %s.", betweenMonths(d.Interval90), nbsp, monthWords(d.Median))
		if d.Interval50[0] != 0 {
			s.finding += " It is as likely as not to be from " + monthRange(d.Interval50) + "."
		}
	}
	if len(d.Months) > 0 {
		s.blocks = append(s.blocks, w.curve())
	}
	s.blocks = append(s.blocks, w.datingTable())
	if d.EDTF != "" {
		s.blocks = append(s.blocks, para{text: "The range as an extended date (EDTF): " + d.EDTF + ".", note: true})
	}
	return s
}

func betweenMonths(i [2]edtf.Month) string {
	return monthWords(i[0]) + " and " + monthWords(i[1])
}

func (w *writer) curve() figure {
	d := w.o.Dating
	p := figure{drawing: chart.Dates(d, chart.Paper, w.say), cites: func(row int) string { return w.itemCites(d.Items[row]) }}
	if n := chart.Unplotted(d, chart.Paper); n > 0 {
		p.note = counted(n, "more item") + " in the table below, which narrow the date little."
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
		columns: []column{{"What the date rests on", 58, left}, {"Beside the rest", 40, left}, {"Range without it", 30, right}},
		empty:   "No evidence bears on the date.",
	}
	for _, it := range w.o.Dating.Items {
		stands := cell{text: "agrees", sub: "chance of one as odd " + percent(it.SurpriseP)}
		if it.Disagrees {
			stands = cell{text: "disagrees", sub: "chance of one as odd " + percent(it.SurpriseP)}
		}
		t.rows = append(t.rows, row{
			cells: []cell{{text: opening(it.Says)}, stands, {text: orDash(shortMonths(it.Without))}},
			cites: w.itemCites(it), strong: it.Disagrees,
		})
	}
	return t
}
