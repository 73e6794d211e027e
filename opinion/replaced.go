package opinion

import (
	"midcase/edtf"
	"midcase/evidence"
	"midcase/origin"
	"midcase/refbook"
	"midcase/say"
)

// onRecord is a piece of work that put a new part into a slot.
type onRecord struct {
	work evidence.Entry[*evidence.Work]
	part evidence.Replaced
}

// lastMonth is the latest month in which the work may have been done.
func (r onRecord) lastMonth() (edtf.Month, bool) {
	if r.work.Data == nil {
		return 0, false
	}
	return r.work.Data.Date.LastMonth()
}

// replacement is the latest record that the part of a slot was replaced. Work dated
// before the first watch of the reference was done on another watch, and an estimate
// replaces nothing.
func (f *forming) replacement(slot evidence.Slot) (onRecord, bool) {
	var best onRecord
	found := false
	for _, w := range Works(f.file) { // latest recorded first
		last, dated := w.Data.Date.LastMonth()
		if f.ref != nil && dated {
			if first, ok := f.ref.Made.FirstMonth(); ok && last < first {
				continue
			}
		}
		for _, r := range w.Data.Replaced {
			if r.Slot != slot {
				continue
			}
			if before, ok := best.lastMonth(); !found || dated && ok && last > before {
				best, found = onRecord{w, r}, true
			}
		}
	}
	return best, found
}

// recordedFor is the record of a replacement for the model; nil where there is none.
func (f *forming) recordedFor(s *refbook.Slot) *origin.Replacement {
	r, ok := f.replacement(s.Slot)
	if !ok {
		return nil
	}
	out := &origin.Replacement{Right: recordRight}
	if r.part.Kept {
		out.Right = recordRightKept
	}
	if v, ok := s.Variant(r.part.Variant); ok {
		out.Variant = v.ID
	}
	return out
}

// says is what the record comes to in words.
func (r onRecord) says() say.Statement {
	slot, work, date := r.part.Slot, r.work.Data.What, r.work.Data.Date
	switch {
	case date.IsZero() && r.part.Kept:
		return say.That("parts.recorded-undated-kept", slotArg("slot", slot), evidence.WorkArg("work", work))
	case date.IsZero():
		return say.That("parts.recorded-undated", slotArg("slot", slot), evidence.WorkArg("work", work))
	case r.part.Kept:
		return say.That("parts.recorded-kept", slotArg("slot", slot), evidence.WorkArg("work", work), dated("date", date))
	}
	return say.That("parts.recorded", slotArg("slot", slot), evidence.WorkArg("work", work), dated("date", date))
}

// recordSpeaks adds what the record of a replacement says of a part to its reasons,
// its evidence and its basis.
func (f *forming) recordSpeaks(p *Part) bool {
	r, ok := f.replacement(p.Slot)
	if !ok {
		return false
	}
	p.Reasons = append([]say.Statement{r.says()}, p.Reasons...)
	p.Evidence = append(p.Evidence, r.work.Item.ID)
	p.Basis = append(p.Basis, fromEvidence(r.work.Item.ID)...)
	return true
}
