package examples

import (
	"fmt"

	"midcase/evidence"
	"midcase/refbook"
)

// Edit writes what was learned of references into the text of their maker's file, nothing beside the lines that
// change. What could not be written, since it stands in another form than the edits know, is returned by name.
func Edit(text []byte, all []Learned) (edited []byte, left []string) {
	edited = text
	for _, l := range all {
		for _, s := range l.Slots {
			for _, p := range s.Proposals {
				next, err := edit(edited, l, s, p)
				if err != nil {
					left = append(left, fmt.Sprintf("%s, %s, %s: %s", l.Reference, s.Slot, p.Variant, err))
					continue
				}
				edited = next
			}
		}
	}
	return edited, left
}

func edit(text []byte, l Learned, s Slot, p Proposal) ([]byte, error) {
	if p.Window < 0 {
		return refbook.AddVariant(text, l.Reference, s.Slot, refbook.Variant{ID: p.Variant, Name: p.Variant,
			Windows: []refbook.Window{{Made: p.Made, SoftMonths: p.Soft}},
			Source:  fmt.Sprintf("learned from %d examples seen", s.Examples)})
	}
	if len(p.Windows) > 0 {
		var all []refbook.Window
		for _, made := range p.Windows {
			all = append(all, refbook.Window{Made: made, SoftMonths: p.Soft})
		}
		return refbook.SetWindows(text, l.Reference, s.Slot, p.Variant, all)
	}
	return refbook.SetWindow(text, l.Reference, s.Slot, p.Variant, p.Window, p.Made, p.Soft)
}

// Only keeps of what was learned of a reference one change of the book, with all that belongs to it.
func (l Learned) Only(slot evidence.Slot, unit int) Learned {
	out := l
	out.Slots = nil
	for _, s := range l.Slots {
		var kept []Proposal
		for _, p := range s.Proposals {
			if s.Slot == slot && p.Unit == unit {
				kept = append(kept, p)
			}
		}
		s.Proposals = kept
		out.Slots = append(out.Slots, s)
	}
	return out
}

// LearnAll learns of every reference of the book of which there are examples, or of one.
func LearnAll(book *refbook.Book, all []Example, reference string) []Learned {
	var out []Learned
	for i := range book.Makers {
		m := &book.Makers[i]
		seen := map[string][]Example{}
		for _, e := range all {
			if at, ok := book.Maker(e.Maker); ok && at.ID == m.ID {
				if ref, ok := m.Reference(e.Reference); ok {
					e.Maker, e.Reference = m.Name, ref.ID
					seen[ref.ID] = append(seen[ref.ID], e)
				}
			}
		}
		for j := range m.References {
			ref := &m.References[j]
			if wanted, ok := m.Reference(reference); reference != "" && (!ok || wanted.ID != ref.ID) {
				continue
			}
			if ex := seen[ref.ID]; len(ex) > 0 {
				out = append(out, Learn(m, ref, ex))
			}
		}
	}
	return out
}
