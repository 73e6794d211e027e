package evidence

// Redacted stands in the place of an item whose words were taken away for good, such as a note that named somebody. A
// later Withdrawal with the same hash says by whom and why. It says nothing about the watch.
type Redacted struct {
	Was  Kind   `json:"was"`
	Hash string `json:"hash"` // of the record as it was, in base64, as the tree of the log has it
}

// Kind implements Data.
func (*Redacted) Kind() Kind { return KindRedacted }

// Check implements Data.
func (r *Redacted) Check() (p Problems) {
	if _, err := New(r.Was); err != nil {
		p.add("was", quote(string(r.Was)), "the kind that the item had")
	}
	p.need("hash", r.Hash, "the hash of the record as it was")
	return p
}

// Redactable says why the words of an item cannot be taken away; it is empty where they can.
func Redactable(it Item) string {
	switch it.Data.(type) {
	case *Redacted:
		return "its words were taken away before"
	case *Withdrawal, *Correction:
		return "what the file is follows from it"
	case *Photo, *Recording:
		return "what it says is a picture or a sound, which stays among the files; withdraw it"
	}
	return ""
}
