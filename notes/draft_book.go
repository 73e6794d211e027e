package notes

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// Entries makes entries of the book from a draft that was read without problems, for a maker that the book does not
// have (known is nil) or has. Families, metals and movements of the maker that the draft names are not entered again.
func (d Draft) Entries(read BookMaker, known *refbook.Maker, source string) (refbook.Maker, []Assumption) {
	out, assumed := read.entries(source, known)
	if d.Country != "" {
		out.Country = strings.ToUpper(strings.TrimSpace(d.Country))
	}
	for i := range out.References {
		ref := &out.References[i]
		ref.Name = strings.TrimSpace(d.Name)
		ref.Note = strings.TrimSpace(d.Note)
		if known != nil {
			d.adopt(&out, ref, known)
		}
	}
	return out, assumed
}

// OtherCalibres are the movements of which the draft says other figures than the book has. They belong to all
// references of the maker, so that they are not changed from one.
func (d Draft) OtherCalibres(m *refbook.Maker) []DraftProblem {
	var out []DraftProblem
	for i, c := range d.Calibres {
		known, ok := m.Calibre(strings.TrimSpace(c.Name))
		if !ok {
			continue
		}
		same := func(typed string, n int) bool { return typed == "" || ungrouped(typed) == strconv.Itoa(n) }
		if !same(c.Beats, known.BeatsPerHour) || !same(c.Jewels, known.Jewels) ||
			c.Winding != "" && known.Winding != c.Winding {
			out = append(out, DraftProblem{Field: fmt.Sprintf("calibres.%d.name", i),
				Says: "The book has " + known.ID + " with other figures. Change it in the text of the maker's file."})
		}
	}
	return out
}

// adopt lets a reference use the family and the metal of the maker that the book has under the name given.
func (d Draft) adopt(m *refbook.Maker, ref *refbook.Reference, known *refbook.Maker) {
	for _, f := range known.Families {
		if strings.EqualFold(f.Name, strings.TrimSpace(d.Family)) || strings.EqualFold(f.ID, strings.TrimSpace(d.Family)) {
			ref.Family, m.Families = f.ID, nil
		}
	}
	if slices.ContainsFunc(known.Metals, func(x refbook.Metal) bool { return x.ID == d.Metal }) {
		ref.Metal, m.Metals = d.Metal, nil
	}
	if len(m.Serials) == 0 && len(known.Serials) > 0 {
		ref.Serial = nil
		for _, s := range known.Serials {
			ref.Serial = append(ref.Serial, s.ID)
		}
	}
}

// Amended is a reference of the book with what was changed in its draft. was is the draft as the book gave it, now as
// it was sent, entry what now makes by itself. A part of which nothing was changed stays as the book has it, to the
// last leaf; in a changed one, what the draft does not show is kept for each version.
func Amended(old, entry refbook.Reference, was, now Draft) refbook.Reference {
	out := entry
	out.Serial, out.Bracelets, out.Strap = old.Serial, old.Bracelets, old.Strap
	for _, b := range entry.Bracelets {
		if !slices.Contains(out.Bracelets, b) {
			out.Bracelets = append(slices.Clone(out.Bracelets), b)
		}
	}
	out.Markets, out.Weights, out.Rules, out.Features, out.Source = old.Markets, old.Weights, old.Rules, old.Features,
		old.Source
	if now.Made == was.Made {
		out.Made = old.Made
	}
	for i, x := range out.Dimensions {
		if k := slices.IndexFunc(old.Dimensions, func(y refbook.Dimension) bool { return y.What == x.What }); k >= 0 {
			mm := x.MM
			out.Dimensions[i] = old.Dimensions[k]
			out.Dimensions[i].MM = mm
		}
	}
	slices.SortStableFunc(out.Slots, func(a, b refbook.Slot) int { return placeIn(old, a.Slot) - placeIn(old, b.Slot) })
	for i := range out.Slots {
		slot := out.Slots[i].Slot
		k := slices.IndexFunc(old.Slots, func(s refbook.Slot) bool { return s.Slot == slot })
		if k >= 0 {
			out.Slots[i] = amendedPart(old.Slots[k], out.Slots[i], partOf(was, slot), partOf(now, slot), now.Made == was.Made)
		}
	}
	return out
}

// placeIn is where a part stands in a reference; parts that it does not have come last.
func placeIn(ref refbook.Reference, slot evidence.Slot) int {
	if i := slices.IndexFunc(ref.Slots, func(s refbook.Slot) bool { return s.Slot == slot }); i >= 0 {
		return i
	}
	return len(ref.Slots)
}

func partOf(d Draft, slot evidence.Slot) DraftPart {
	for _, p := range d.Parts {
		if p.Slot == slot {
			p.Versions = slices.DeleteFunc(slices.Clone(p.Versions), func(v DraftVersion) bool {
				return strings.TrimSpace(v.Name) == ""
			})
			return p
		}
	}
	return DraftPart{}
}

func amendedPart(old, entry refbook.Slot, was, now DraftPart, sameTime bool) refbook.Slot {
	if sameTime && slices.Equal(was.Versions, now.Versions) {
		entry.Variants = old.Variants
	} else {
		for i := range entry.Variants {
			entry.Variants[i] = amendedVersion(old, entry.Variants[i], now.Versions[i])
		}
	}
	if was.Replaced == now.Replaced {
		entry.Replaced, entry.Source = old.Replaced, old.Source
	}
	return entry
}

// amendedVersion keeps what a draft does not show of a version that the book has.
func amendedVersion(old refbook.Slot, entry refbook.Variant, now DraftVersion) refbook.Variant {
	before, ok := old.Variant(now.ID)
	if now.ID == "" || !ok {
		return entry
	}
	out := *before
	out.Name, out.Look, out.Lume, out.Service, out.Supplied = entry.Name, entry.Look, entry.Lume, entry.Service, entry.Supplied
	if draftVersion(*before).When == now.When && sameMonths(before.Windows, entry.Windows) {
		return out
	}
	out.Windows = entry.Windows
	for i := range out.Windows {
		for _, w := range before.Windows {
			if w.Made.String() == out.Windows[i].Made.String() {
				out.Windows[i] = w
			}
		}
	}
	return out
}

func sameMonths(a, b []refbook.Window) bool {
	return slices.EqualFunc(a, b, func(x, y refbook.Window) bool { return x.Made.String() == y.Made.String() })
}

// DraftNumbers are the milestones of a run of numbers, to be shown and changed.
func DraftNumbers(run refbook.Serial) []DraftNumber {
	var out []DraftNumber
	for _, a := range run.Anchors {
		out = append(out, DraftNumber{Run: run.ID, Mark: run.Mark, Number: strconv.FormatInt(a.Number, 10),
			When: inWords(a.Month.String()), Source: a.Source})
	}
	return out
}

// AmendedRun is a run of numbers of the book with the milestones of a draft in the place of its own, in the order of
// their numbers. One that is unchanged stays to the letter. source is kept with those that name none.
func AmendedRun(old refbook.Serial, d Draft, source string) (refbook.Serial, []DraftProblem) {
	r := draftReader{said: Ground{Sure: 1}}
	out := old
	out.Anchors = nil
	for _, n := range d.Numbers {
		if n.Run != old.ID {
			continue
		}
		for _, m := range r.number(n) {
			a := refbook.Anchor{Number: int64(m.Number), Source: m.Source}
			a.Month, _ = edtf.ParseMonth(m.Month)
			k := slices.IndexFunc(old.Anchors, func(x refbook.Anchor) bool { return x.Number == a.Number })
			if k >= 0 && inWords(old.Anchors[k].Month.String()) == strings.TrimSpace(n.When) {
				a.Month = old.Anchors[k].Month
			}
			if a.Source == "" && (k < 0 || old.Anchors[k].Month != a.Month) {
				a.Source = source
			}
			out.Anchors = append(out.Anchors, a)
		}
	}
	slices.SortStableFunc(out.Anchors, func(a, b refbook.Anchor) int { return cmp.Compare(a.Number, b.Number) })
	return out, r.problems
}

// MadeWithin is the time of a draft's reference in EDTF; ok is false where its words are not understood.
func (d Draft) MadeWithin() (edtf.Date, bool) {
	r := draftReader{}
	made, err := edtf.Parse(r.made(d.Made))
	return made, err == nil && len(r.problems) == 0
}
