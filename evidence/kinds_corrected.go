package evidence

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

// namedAsOf sets the names that a file had where it was corrected later.
func (f *File) namedAsOf(w Watch) {
	for _, it := range w.Evidence { // in the order of recording: the first after the day counts
		if c, ok := it.Data.(*Correction); ok && it.At.After(f.AsOf) {
			f.Maker, f.Reference, f.Title = c.WasMaker, c.WasReference, ""
			return
		}
	}
}
