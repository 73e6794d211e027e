package document

import (
	"fmt"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/opinion"
)

// dateCurve is the chart of the joint curve over what each item pulls towards.
type dateCurve struct {
	dating opinion.Dating
	rows   []curveRow
}

type curveRow struct {
	label, cites string
	disagrees    bool
	months       []opinion.MonthChance
}

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

func (w *writer) curve() dateCurve {
	c := dateCurve{dating: w.o.Dating}
	for _, it := range w.o.Dating.Items {
		c.rows = append(c.rows, curveRow{label: it.Says, cites: w.itemCites(it), disagrees: it.Disagrees, months: it.Alone})
	}
	return c
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
