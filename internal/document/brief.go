package document

import (
	"slices"

	"midcase/internal/chart"
	"midcase/opinion"
	"midcase/say"
)

// How much of each list a report without its annex has.
const (
	briefItems       = 5
	briefPlates      = 4
	briefComparables = 6
)

// annexed reports whether the paper holds the grounds of every figure: the annex of
// evidence, which the shop's own copy always has.
func (w *writer) annexed() bool { return w.r.Annex || w.r.ForShop }

// brief is the report for a reader who decides: every verdict, fault, size off the book and
// caution, and what the rest comes to. The grounds line by line are the annex.
func (w *writer) brief() []section { return brief{w}.all() }

// brief leaves out of each section what the annex has.
type brief struct{ *writer }

func (w brief) all() []section {
	out := []section{w.briefIdentity(), w.briefDating()}
	if len(w.r.Photos) > 1 && w.cut < cutPhotos {
		out = append(out, w.briefPhotos())
	}
	out = append(out, w.briefParts(), w.briefCondition(), w.briefMeasured(), w.briefMetal(), w.briefRunning())
	if w.cut >= cutNotes {
		for i := range out {
			out[i] = withoutNotes(out[i])
		}
	}
	return append(out, w.briefValue(), w.briefCautions(), w.briefLimits())
}

// What a report leaves to its annex beside the rest, in this order, until it has no more pages than it may.
const (
	cutNothing = iota
	cutPrices  // the picture of the comparables, which the table has too
	cutPhotos  // the photographs but the first
	cutFits    // the measurements that are as the book gives them
	cutDrawing // the drawing of the parts, which the table has too
	cutSales   // half of the comparables
	cutNotes   // what explains figures and grades
	cuts
)

// briefPages is how many pages a report without its annex may have.
const briefPages = 6

// withoutFront leaves out of a list what the first page says too.
func withoutFront(f facts) facts {
	return slices.DeleteFunc(f, func(one fact) bool { return one.id == "front" })
}

// briefIdentity leaves out what the title and the first page say.
func (w brief) briefIdentity() section {
	s := w.identity()
	if f, ok := s.blocks[0].(facts); ok {
		s.blocks[0] = withoutFront(f)
	}
	return s
}

// briefMeasured says only of sizes that are not the book's what they mean.
func (w brief) briefMeasured() section {
	s := w.measured()
	if len(s.blocks) == 0 {
		return s
	}
	t, ok := s.blocks[0].(table)
	if !ok {
		return s
	}
	var kept []row
	for _, r := range t.rows {
		last := len(r.cells) - 1
		if r.cells[last].mean {
			r.cells[last] = cell{}
			if w.cut >= cutFits {
				continue
			}
		}
		kept = append(kept, r)
	}
	t.rows, t.empty = kept, w.String(say.That("report.book-sizes"))
	s.blocks[0] = t
	return s
}

// briefCautions are what was not examined and what can hurt somebody, in one list.
func (w brief) briefCautions() section {
	s := w.cautions()
	s.title = w.String(say.That("report.not-examined-and-cautions"))
	s.blocks = []block{append(fine(w.bullets(w.o.Unknown)), fine(s.blocks[0].(bullets))...)}
	return s
}

// briefLimits are what was done and the limiting conditions, in one list, with the signature.
func (w brief) briefLimits() section {
	s, done := w.limits(), w.scope()
	s.title, s.finding = w.String(say.That("report.done-and-limits")), done.finding
	list := fine{}
	for _, b := range done.blocks {
		if m, ok := b.(para); ok {
			list = append(list, cited{text: m.text})
		}
	}
	list = append(list, s.blocks[0].(bullets)...)
	onRequest := para{note: true, text: w.String(say.That("report.annex-on-request"))}
	end := append([]block{list, onRequest}, w.logHead()...)
	s.blocks = append(end, s.blocks[1:]...)
	return s
}

// briefPhotos are the first photographs in one row.
func (w brief) briefPhotos() section {
	s := w.photos()
	if p, ok := s.blocks[0].(plates); ok && len(p.photos) > briefPlates {
		p.photos = p.photos[:briefPlates]
		s.blocks[0] = p
	}
	return s
}

// briefDating has the curve, and of the items those that disagree.
func (w brief) briefDating() section {
	s := w.dating()
	var b bullets
	for _, it := range w.o.Dating.Items {
		if it.Disagrees {
			b = append(b, cited{w.sentence(it.Says) + after(" ", w.sentence(it.Doubt)), w.itemCites(it)})
		}
	}
	s.blocks = nil
	if len(w.o.Dating.Months) > 0 {
		c := w.curve(foremost(w.o.Dating))
		c.note = ""
		if n := len(w.o.Dating.Items) - briefItems; n > 0 {
			c.note = w.told(say.That("report.more-dates-annex", say.Count("n", n)))
		}
		s.blocks = append(s.blocks, c)
	}
	if len(b) > 0 {
		s.blocks = append(s.blocks, b)
	}
	return s
}

// foremost is a dating with its first items of evidence: numbers, stamps and papers before parts.
func foremost(d opinion.Dating) opinion.Dating {
	items := slices.Clone(d.Items)
	slices.SortStableFunc(items, func(a, b opinion.DatingItem) int {
		rank := map[bool]int{true: 1}
		return rank[a.Kind == "part"] - rank[b.Kind == "part"]
	})
	d.Items = items[:min(len(items), briefItems)]
	return d
}

// briefParts is the drawing with the parts: those that fit in one line each, the others with
// their reasons. Rules that the watch breaks stand beneath.
func (w brief) briefParts() section {
	s := w.parts()
	if len(w.o.Parts) == 0 {
		return s
	}
	t := w.partsTable()
	for i, p := range w.o.Parts {
		if p.Verdict == opinion.Fits {
			t.rows[i].cells[2] = cell{}
		}
	}
	s.blocks = []block{t}
	if w.cut < cutDrawing {
		s.blocks = []block{figure{drawing: chart.Parts(w.o.Parts, chart.Paper, w.Writer)}, t}
	}
	var broken bullets
	for _, r := range w.o.Rules {
		told := slices.ContainsFunc(w.o.Parts, func(p opinion.Part) bool { // with the part that it is about
			return p.Slot == r.Slot && p.Verdict == opinion.DoesNotBelong
		})
		if r.Broken && !told {
			broken = append(broken, cited{w.sentence(r.Reason), w.refs.cite(r.Evidence, r.Basis...)})
		}
	}
	if len(broken) > 0 {
		s.blocks = append(s.blocks, broken)
	}
	return s
}

// briefCondition grades the parts that were examined, and names the others.
func (w brief) briefCondition() section {
	s := w.condition()
	var rest say.List
	for i, b := range s.blocks {
		t, ok := b.(table)
		if !ok {
			continue
		}
		kept := t.rows[:0:0]
		for k, g := range w.o.Condition.Slots {
			if g.Grade == nil && len(g.Evidence) == 0 {
				rest = append(rest, say.Noun{Set: "slot", ID: string(g.Slot)})
				continue
			}
			kept = append(kept, t.rows[k])
		}
		t.rows = kept
		s.blocks[i] = t
		break
	}
	if len(rest) > 0 {
		s.blocks = append(s.blocks, para{note: true, stays: true,
			text: w.told(say.That("report.not-graded", say.All("slots", rest...)))})
	}
	return s
}

// briefMetal leaves the weights of the parts to the annex.
func (w brief) briefMetal() section { return withoutTables(w.metal()) }

// briefRunning has the figures and the readings by position.
func (w brief) briefRunning() section {
	s := w.running()
	if len(w.o.Running.Positions) == 0 {
		return s
	}
	s.blocks = append([]block{w.positions()}, w.positionsNote(w.o.Running)...)
	return s
}

// briefValue has the range, the picture and the sales that weigh most.
func (w brief) briefValue() section {
	v := w.o.Value
	s := w.value()
	s.blocks = []block{withoutFront(w.valueTerms())}
	if v.Known {
		s.blocks = append(s.blocks, w.valueRanges())
	}
	if len(v.Says) > 0 {
		s.blocks = append(s.blocks, w.bullets(v.Says))
	}
	listed := briefComparables
	if w.cut >= cutSales {
		listed /= 2
	}
	if all := heaviest(v.Comparables); len(all) > 0 {
		if w.cut < cutPrices {
			s.blocks = append(s.blocks, w.comparablePicture())
		}
		s.blocks = append(s.blocks, w.comparableTable(all[:min(len(all), listed)]))
	}
	return s
}

// withoutNotes is a section without its notes in small type.
func withoutNotes(s section) section {
	s.blocks = slices.DeleteFunc(slices.Clone(s.blocks), func(b block) bool {
		p, ok := b.(para)
		return ok && p.note && !p.stays
	})
	return s
}

// withoutTables is a section without its tables.
func withoutTables(s section) section {
	var kept []block
	for _, b := range s.blocks {
		if _, ok := b.(table); !ok {
			kept = append(kept, b)
		}
	}
	s.blocks = kept
	return s
}
