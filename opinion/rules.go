package opinion

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/metal"
	"midcase/refbook"
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
	reason := fmt.Sprintf("The case is marked %s, as it should be.", m.Data.Text)
	if broken {
		reason = fmt.Sprintf("The case is marked %s; the watch is described as %s.", m.Data.Text, f.ref.ID)
	}
	f.hold(Rule{Rule: "reference number", Slot: evidence.Case, Broken: broken, Reason: reason, Evidence: []evidence.ID{m.Item.ID}})
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
	for _, s := range seen {
		if !containsFold(f.ref.Calibres, s) {
			f.hold(Rule{Rule: "calibre", Slot: evidence.Movement, Broken: true, Evidence: ids, Basis: []Basis{f.fromBook("calibres")},
				Reason: fmt.Sprintf("Calibre %s was never fitted to this reference; it had %s.", s, join(f.ref.Calibres))})
			return
		}
	}
	f.hold(Rule{Rule: "calibre", Slot: evidence.Movement, Evidence: ids, Basis: []Basis{f.fromBook("calibres")},
		Reason: fmt.Sprintf("Calibre %s belongs to this reference.", seen[0])})
}

// made is what a slot is made of, by what was seen on it, else by the book.
type made struct {
	metal    string
	fineness int
	seen     bool
	ids      []evidence.ID
}

// metalOf tells the metal of the case or the bracelet. A hallmark read on the part
// counts before the book.
func (f *forming) metalOf(slot evidence.Slot) made {
	var out made
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		if m.Data.What != evidence.MarkHallmark || !(m.Data.Slot == slot || slot == evidence.Case && m.Data.Slot == evidence.CaseBack) {
			continue
		}
		if h, err := metal.ReadHallmark(m.Data.Text); err == nil && h.Permille > 0 {
			out.fineness, out.seen = h.Permille, true
			out.ids = append(out.ids, m.Item.ID)
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
	if c.metal == "" || (b.metal == "" && b.fineness == 0) {
		return
	}
	r := Rule{Rule: "bracelet and case of one metal", Slot: evidence.Bracelet, Evidence: append(append([]evidence.ID{}, b.ids...), c.ids...), Basis: []Basis{f.fromBook("metal")}}
	switch {
	case b.metal != "" && b.metal != c.metal:
		r.Broken = true
		r.Reason = fmt.Sprintf("The bracelet is %s, the case %s.", f.metalName(b.metal), f.metalName(c.metal))
	case b.fineness != c.fineness && b.fineness > 0:
		r.Broken = true
		r.Reason = fmt.Sprintf("The bracelet is marked %d, the case is %d.", b.fineness, c.fineness)
	default:
		r.Reason = fmt.Sprintf("Bracelet and case are both %s.", f.metalName(c.metal))
	}
	f.hold(r)
}

func (f *forming) ruleCaseMark() {
	m, ok := f.maker.Metal(f.ref.Metal)
	if !ok {
		return
	}
	for _, e := range evidence.All[*evidence.Mark](f.file) {
		if e.Data.What != evidence.MarkHallmark || (e.Data.Slot != evidence.Case && e.Data.Slot != evidence.CaseBack) {
			continue
		}
		h, err := metal.ReadHallmark(e.Data.Text)
		if err != nil || h.Permille == 0 {
			continue
		}
		r := Rule{Rule: "fineness of the case", Slot: evidence.Case, Evidence: []evidence.ID{e.Item.ID}, Basis: []Basis{f.fromBook("metal")},
			Reason: fmt.Sprintf("The case is marked %d, as the reference should be.", h.Permille)}
		if h.Permille != m.Fineness {
			r.Broken = true
			r.Reason = fmt.Sprintf("The case is marked %d; the reference is %s.", h.Permille, f.metalName(f.ref.Metal))
		}
		f.hold(r)
		return
	}
}

func (f *forming) metalName(id string) string {
	if m, ok := f.maker.Metal(id); ok && m.Name != "" {
		return m.Name
	}
	return strings.ReplaceAll(id, "_", " ")
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
	r := Rule{Rule: "end pieces fit", Slot: evidence.EndPieces, Evidence: []evidence.ID{e.Item.ID}, Basis: []Basis{{Source: "book", ID: refbook.Path(f.maker.ID, "", "end_pieces", piece.ID)}}}
	b, onBracelet := f.fitted[evidence.Bracelet]
	var bracelet *refbook.Bracelet
	known := false
	if onBracelet {
		bracelet, known = f.maker.Bracelet(b.Data.Variant)
	}
	switch {
	case len(piece.Fits) > 0 && !containsFold(piece.Fits, f.ref.ID):
		r.Broken = true
		r.Reason = fmt.Sprintf("End pieces %s fit %s, not this case.", piece.ID, join(piece.Fits))
	case known && len(bracelet.EndPieces) > 0 && !containsFold(bracelet.EndPieces, piece.ID):
		r.Broken = true
		r.Evidence = append(r.Evidence, b.Item.ID)
		r.Reason = fmt.Sprintf("End pieces %s do not go with bracelet %s, which takes %s.", piece.ID, bracelet.ID, join(bracelet.EndPieces))
		if f.broken(evidence.Bracelet) || !f.listed(evidence.Bracelet, bracelet.ID) && f.listed(evidence.EndPieces, piece.ID) {
			r.Slot = evidence.Bracelet // the end pieces are this watch's own, the bracelet is not
			r.Reason = fmt.Sprintf("Bracelet %s takes end pieces %s; the watch has its own, %s.", bracelet.ID, join(bracelet.EndPieces), piece.ID)
		}
	default:
		r.Reason = fmt.Sprintf("End pieces %s fit case and bracelet.", piece.ID)
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
		r := Rule{Rule: "lug width", Slot: evidence.Case, Evidence: []evidence.ID{d.Item.ID}, Basis: []Basis{f.fromBook("dimensions", "lug_width")},
			Reason: fmt.Sprintf("%.1f mm between the lugs; the book gives %.1f.", d.Data.MM, nominal)}
		if math.Abs(d.Data.MM-nominal) > slack {
			r.Broken = true
			r.Reason = fmt.Sprintf("%.1f mm between the lugs; the reference has %.1f.", d.Data.MM, nominal)
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
		r := Rule{Rule: "papers belong to the watch", Slot: evidence.Papers, Evidence: []evidence.ID{d.Item.ID, serial.Item.ID},
			Reason: fmt.Sprintf("The %s names serial %s, as on the watch.", documentName(d.Data.What), d.Data.Serial)}
		if !sameNumber(d.Data.Serial, serial.Data.Text) {
			r.Broken = true
			r.Reason = fmt.Sprintf("The %s names serial %s; the watch has %s.", documentName(d.Data.What), d.Data.Serial, serial.Data.Text)
		}
		f.hold(r)
	}
}

func documentName(what string) string { return strings.ReplaceAll(what, "_", " ") }

// ruleOfBook checks one rule that the book states for the reference.
func (f *forming) ruleOfBook(rule *refbook.Rule) {
	e, ok := f.fitted[rule.Slot]
	if !ok || e.Data.Absent || e.Data.Variant == evidence.Unknown {
		return
	}
	r := Rule{Rule: rule.Says, Slot: rule.Slot, Evidence: []evidence.ID{e.Item.ID}, Basis: []Basis{f.fromBook("rules", rule.ID)}, Reason: rule.Says}
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
		r.Reason = "Against the book, which says: " + rule.Says
	}
	f.hold(r)
}

func containsFold(all []string, s string) bool {
	return slices.ContainsFunc(all, func(a string) bool { return strings.EqualFold(a, strings.TrimSpace(s)) })
}
