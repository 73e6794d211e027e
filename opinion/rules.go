package opinion

import (
	"math"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/metal"
	"midcase/refbook"
	"midcase/say"
)

// rules checks what must hold for every watch of the reference that is right. A rule
// for which the evidence says nothing is not listed.
func (f *forming) rules() {
	if f.ref == nil {
		return
	}
	f.ruleReferenceMark()
	f.ruleCalibre()
	f.ruleBraceletMetal()
	f.ruleCaseMark()
	f.ruleEndPieces()
	f.ruleLugWidth()
	f.rulePapers()
	for i := range f.ref.Rules {
		f.ruleOfBook(&f.ref.Rules[i])
	}
}

func (f *forming) hold(r Rule) {
	if r.Evidence == nil {
		r.Evidence = []evidence.ID{}
	}
	r.Basis = append(r.Basis, fromEvidence(r.Evidence...)...)
	f.out.Rules = append(f.out.Rules, r)
}

func (f *forming) ruleReferenceMark() {
	m, ok := f.mark(evidence.MarkReferenceNumber)
	if !ok {
		return
	}
	broken := !strings.EqualFold(strings.TrimSpace(m.Data.Text), f.ref.ID)
	reason := say.That("rules.reference-right", say.Name("mark", m.Data.Text))
	if broken {
		reason = say.That("rules.reference-wrong", say.Name("mark", m.Data.Text), say.Name("reference", f.ref.ID))
	}
	f.hold(Rule{Rule: say.That("rules.name-reference"), Slot: evidence.Case, Broken: broken, Reason: reason,
		Evidence: []evidence.ID{m.Item.ID}})
}

func (f *forming) ruleCalibre() {
	var seen []string
	var ids []evidence.ID
	if m, ok := f.mark(evidence.MarkCalibre); ok {
		seen, ids = append(seen, m.Data.Text), append(ids, m.Item.ID)
	}
	if e, ok := f.fitted[evidence.Movement]; ok && !e.Data.Absent && e.Data.Variant != evidence.Unknown {
		seen, ids = append(seen, e.Data.Variant), append(ids, e.Item.ID)
	}
	if len(seen) == 0 || len(f.ref.Calibres) == 0 {
		return
	}
	r := Rule{Rule: say.That("rules.name-calibre"), Slot: evidence.Movement, Evidence: ids,
		Basis: []Basis{f.fromBook("calibres")}}
	for _, s := range seen {
		if !containsFold(f.ref.Calibres, s) {
			r.Broken = true
			r.Reason = say.That("rules.calibre-wrong", say.Name("calibre", s), names("calibres", f.ref.Calibres))
			f.hold(r)
			return
		}
	}
	r.Reason = say.That("rules.calibre-right", say.Name("calibre", seen[0]))
	f.hold(r)
}

// material is what a slot is made of, by what was seen on it, else by the book.
type material struct {
	metal    string
	fineness int
	seen     bool
	ids      []evidence.ID
}

// metalOf tells the metal of the case or the bracelet. A hallmark read on the part
// counts before the book.
func (f *forming) metalOf(slot evidence.Slot) material {
	var out material
	for _, m := range f.marksOn(slot) {
		if r := m.read; r.Permille > 0 && !r.Plated && r.Base == "" && !r.Conflict {
			out.fineness, out.seen = r.Permille, true
			out.ids = append(out.ids, m.entry.Item.ID)
			break
		}
	}
	e, ok := f.fitted[slot]
	switch {
	case ok && e.Data.Metal != "":
		out.metal, out.seen = e.Data.Metal, true
		out.ids = append(out.ids, e.Item.ID)
	case slot == evidence.Case:
		out.metal = f.ref.Metal
	case ok:
		if b, found := f.maker.Bracelet(e.Data.Variant); found {
			out.metal = b.Metal
			out.ids = append(out.ids, e.Item.ID)
		}
	}
	if out.fineness == 0 {
		if m, ok := f.maker.Metal(out.metal); ok {
			out.fineness = m.Fineness
		}
	}
	return out
}

func (f *forming) ruleBraceletMetal() {
	e, ok := f.fitted[evidence.Bracelet]
	if !ok || e.Data.Absent || e.Data.Variant == "strap" {
		return
	}
	c, b := f.metalOf(evidence.Case), f.metalOf(evidence.Bracelet)
	if c.metal == "" || (b.metal == "" && b.fineness == 0) || f.caseIsOdd(c, b) {
		return
	}
	r := Rule{Rule: say.That("rules.name-one-metal"), Slot: evidence.Bracelet, Evidence: slices.Concat(b.ids, c.ids),
		Basis: []Basis{f.fromBook("metal")}}
	switch {
	case b.metal != "" && b.metal != c.metal:
		r.Broken = true
		r.Reason = say.That("rules.metals-differ", f.metalName("bracelet", b.metal), f.metalName("case", c.metal))
	case b.fineness > 0 && !metal.SameFineness(b.fineness, c.fineness):
		r.Broken = true
		r.Reason = say.That("rules.fineness-differs", fineness("bracelet", b.fineness), fineness("case", c.fineness))
	default:
		r.Reason = say.That("rules.metals-same", f.metalName("metal", c.metal))
	}
	f.hold(r)
}

// caseIsOdd reports whether it is the case that is not of the reference's metal, while
// the bracelet is: then the bracelet is not to blame.
func (f *forming) caseIsOdd(c, b material) bool {
	m, ok := f.maker.Metal(f.ref.Metal)
	if !ok || !c.seen {
		return false
	}
	is := func(x material) bool { return (x.metal == "" || x.metal == m.ID) && x.fineness == m.Fineness }
	return is(b) && !is(c)
}

// ruleCaseMark sets every mark on the case beside the metal of the reference: one that
// cannot be the mark of such a case breaks the rule.
func (f *forming) ruleCaseMark() {
	m, ok := f.maker.Metal(f.ref.Metal)
	if !ok {
		return
	}
	var r Rule
	for _, e := range f.marksOn(evidence.Case) {
		stance := e.read.Against(or2(m.Element, metal.Gold), m.Fineness)
		if stance == metal.Silent || f.ref.Metal == twoTone && !e.read.Plated && !r.Broken {
			continue
		}
		ids := append(r.Evidence, e.entry.Item.ID)
		if r.Broken {
			r.Evidence = ids
			continue
		}
		r = Rule{Rule: say.That("rules.name-fineness"), Slot: evidence.Case, Evidence: ids,
			Basis:  []Basis{f.fromBook("metal")},
			Reason: say.That("rules.mark-right", say.Name("mark", e.entry.Data.Text))}
		if e.read.Permille > 0 && !e.read.Plated {
			r.Reason = say.That("rules.fineness-right", fineness("mark", e.read.Permille))
		}
		if stance == metal.Contradicts {
			r.Broken = true
			r.Reason = say.That("rules.mark-wrong", say.Name("mark", e.entry.Data.Text), f.metalName("metal", f.ref.Metal))
		}
	}
	if r.Slot != "" {
		f.hold(r)
	}
}

// twoTone is the metal of a case of steel and gold, whose marks name both.
const twoTone = "two_tone"

// metalName is the name of a metal, as the book has it.
func (f *forming) metalName(name, id string) say.Arg {
	if m, ok := f.maker.Metal(id); ok {
		return say.Term(name, "metal", id, m.Name)
	}
	return say.Term(name, "metal", id, "")
}

// fineness is a fineness in thousandths as it is marked.
func fineness(name string, permille int) say.Arg {
	return say.Fixed(name, float64(permille), say.None, 0)
}

// names lists names as they stand in the book.
func names(name string, all []string) say.Arg {
	var out []say.Value
	for _, s := range all {
		out = append(out, say.Proper(s))
	}
	return say.All(name, out...)
}

func (f *forming) ruleEndPieces() {
	e, ok := f.fitted[evidence.EndPieces]
	if !ok || e.Data.Absent {
		return
	}
	piece, ok := f.maker.EndPiece(e.Data.Variant)
	if !ok {
		return
	}
	r := Rule{Rule: say.That("rules.name-end-pieces"), Slot: evidence.EndPieces, Evidence: []evidence.ID{e.Item.ID},
		Basis: []Basis{{Source: "book", ID: refbook.Path(f.maker.ID, "", "end_pieces", piece.ID)}}}
	b, onBracelet := f.fitted[evidence.Bracelet]
	var bracelet *refbook.Bracelet
	known := false
	if onBracelet {
		bracelet, known = f.maker.Bracelet(b.Data.Variant)
	}
	switch {
	case len(piece.Fits) > 0 && !containsFold(piece.Fits, f.ref.ID):
		r.Broken = true
		r.Reason = say.That("rules.end-pieces-case", say.Name("pieces", piece.ID), names("fit", piece.Fits))
	case known && len(bracelet.EndPieces) > 0 && !containsFold(bracelet.EndPieces, piece.ID):
		r.Broken = true
		r.Evidence = append(r.Evidence, b.Item.ID)
		r.Reason = say.That("rules.end-pieces-bracelet", say.Name("pieces", piece.ID),
			say.Name("bracelet", bracelet.ID), names("takes", bracelet.EndPieces))
		if f.broken(evidence.Bracelet) || !f.listed(evidence.Bracelet, bracelet.ID) &&
			f.listed(evidence.EndPieces, piece.ID) {
			r.Slot = evidence.Bracelet // the end pieces are this watch's own, the bracelet is not
			r.Reason = say.That("rules.bracelet-wrong", say.Name("bracelet", bracelet.ID),
				names("takes", bracelet.EndPieces), say.Name("pieces", piece.ID))
		}
	default:
		r.Reason = say.That("rules.end-pieces-right", say.Name("pieces", piece.ID))
	}
	f.hold(r)
}

// listed reports whether the book has the variant in a slot of this reference.
func (f *forming) listed(slot evidence.Slot, variant string) bool {
	s, ok := f.ref.Slot(slot)
	if !ok {
		return false
	}
	_, ok = s.Variant(variant)
	return ok
}

func (f *forming) ruleLugWidth() {
	nominal, tolerance, ok := f.nominal("lug_width")
	if !ok {
		return
	}
	for _, d := range evidence.All[*evidence.Dimension](f.file) {
		if d.Data.What != "lug_width" {
			continue
		}
		slack := tolerance + or(d.Data.PlusMinusMM, 0.05) + 0.3
		r := Rule{Rule: say.That("rules.name-lug-width"), Slot: evidence.Case, Evidence: []evidence.ID{d.Item.ID},
			Basis: []Basis{f.fromBook("dimensions", "lug_width")},
			Reason: say.That("rules.lug-width-right", say.Fixed("width", d.Data.MM, say.MM, 1),
				say.Fixed("nominal", nominal, say.MM, 1))}
		if math.Abs(d.Data.MM-nominal) > slack {
			r.Broken = true
			r.Reason = say.That("rules.lug-width-wrong", say.Fixed("width", d.Data.MM, say.MM, 1),
				say.Fixed("nominal", nominal, say.MM, 1))
		}
		f.hold(r)
		return
	}
}

func (f *forming) rulePapers() {
	serial, ok := f.mark(evidence.MarkSerial)
	if !ok {
		return
	}
	for _, d := range evidence.All[*evidence.Document](f.file) {
		if d.Data.Serial == "" {
			continue
		}
		r := Rule{Rule: say.That("rules.name-papers"), Slot: evidence.Papers,
			Evidence: []evidence.ID{d.Item.ID, serial.Item.ID},
			Reason: say.That("rules.papers-right", document("document", d.Data.What),
				say.Name("serial", d.Data.Serial))}
		if !f.isSerial(d.Data.Serial) {
			r.Broken = true
			r.Reason = say.That("rules.papers-wrong", document("document", d.Data.What),
				say.Name("serial", d.Data.Serial), say.Name("watch", serial.Data.Text))
		}
		if p, err := refbook.ParsePattern(serial.Data.Text); err == nil && !p.Whole() && !r.Broken {
			r.Reason = say.That("rules.papers-partly", document("document", d.Data.What),
				say.Name("serial", d.Data.Serial), say.Name("watch", serial.Data.Text))
		}
		f.hold(r)
	}
}

func document(name, what string) say.Arg { return say.Term(name, "document", what, "") }

// ruleOfBook checks one rule that the book states for the reference.
func (f *forming) ruleOfBook(rule *refbook.Rule) {
	e, ok := f.fitted[rule.Slot]
	if !ok || e.Data.Absent || e.Data.Variant == evidence.Unknown {
		return
	}
	if holds, known := f.soldIn(rule.Markets); !holds || !known {
		return // it holds for watches of other markets
	}
	says := say.Verbatim(rule.Says)
	r := Rule{Rule: says, Slot: rule.Slot, Evidence: []evidence.ID{e.Item.ID},
		Basis: []Basis{f.fromBook("rules", rule.ID)}, Reason: says}
	switch {
	case containsFold(rule.Never, e.Data.Variant):
		r.Broken = true
	case len(rule.Only) > 0 && !containsFold(rule.Only, e.Data.Variant):
		r.Broken = true
	case rule.With != nil && strings.EqualFold(rule.With.Variant, e.Data.Variant):
		other, ok := f.fitted[rule.With.Slot]
		if !ok || other.Data.Absent || other.Data.Variant == evidence.Unknown {
			return
		}
		r.Evidence = append(r.Evidence, other.Item.ID)
		r.Broken = !containsFold(rule.With.OneOf, other.Data.Variant)
	case rule.With != nil:
		return
	}
	if r.Broken {
		r.Reason = say.That("rules.against-book", say.Name("rule", rule.Says))
	}
	f.hold(r)
}

func containsFold(all []string, s string) bool {
	return slices.ContainsFunc(all, func(a string) bool { return strings.EqualFold(a, strings.TrimSpace(s)) })
}
