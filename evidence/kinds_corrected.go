package evidence

import "time"

// Correction says that a file was opened under another maker or reference, and what it was. The file itself has the
// names that hold now; as of a day before the correction those hold that it had then.
type Correction struct {
	Maker        string `json:"maker"`
	Reference    string `json:"reference"`
	WasMaker     string `json:"was_maker"`
	WasReference string `json:"was_reference"`
	Reason       string `json:"reason" typed:"text"`
}

// Kind implements Data.
func (*Correction) Kind() Kind { return KindCorrection }

// Check implements Data.
func (c *Correction) Check() (p Problems) {
	p.need("maker", c.Maker, "the maker as the reference book names it")
	p.need("reference", c.Reference, "the reference number")
	p.need("was_maker", c.WasMaker, "the maker that the file had")
	p.need("was_reference", c.WasReference, "the reference that the file had")
	p.need("reason", c.Reason, "why, such as read from the case back")
	return p
}

// NamedAsOf is the maker and reference that a file had at the end of asOf: those of the last correction in
// force then, else those from before the first one.
func (w Watch) NamedAsOf(asOf time.Time) (maker, reference string) {
	var then []Item
	for _, it := range w.Evidence {
		if !it.At.After(asOf) {
			then = append(then, it)
		}
	}
	gone := withdrawn(then)
	for i := len(then) - 1; i >= 0; i-- {
		if c, ok := then[i].Data.(*Correction); ok {
			if _, ok := gone[then[i].ID]; !ok {
				return c.Maker, c.Reference
			}
		}
	}
	for _, it := range w.Evidence {
		if c, ok := it.Data.(*Correction); ok {
			return c.WasMaker, c.WasReference
		}
	}
	return w.Maker, w.Reference
}

// namedAsOf sets the names that a file had.
func (f *File) namedAsOf(w Watch) {
	if maker, reference := w.NamedAsOf(f.AsOf); maker != w.Maker || reference != w.Reference {
		f.Maker, f.Reference, f.Title = maker, reference, ""
	}
}
