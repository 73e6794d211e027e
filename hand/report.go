package hand

import (
	"encoding/json"

	"midcase/evidence"
	"midcase/say"
)

// Kind is why a place in a text is marked.
type Kind string

// The kinds.
const (
	Unsupported Kind = "unsupported" // nothing on record says so, or not so much
	Contradicts Kind = "contradicts" // something on record says otherwise
	Adjective   Kind = "adjective"   // praise without a figure or a finding
	Rarity      Kind = "rarity"      // without a count and how it was come by
	Private     Kind = "private"     // cost, limits, sellers, clients, full numbers
)

// Kinds lists the kinds, the gravest first.
func Kinds() []Kind { return []Kind{Private, Contradicts, Unsupported, Rarity, Adjective} }

// Mark is a place in a text that does not hold. From and To are runes of the text.
type Mark struct {
	From, To int
	Text     string
	Kind     Kind
	Why      say.Statement
	Evidence []evidence.ID
}

// MarshalJSON writes a mark with its reason in English.
func (m Mark) MarshalJSON() ([]byte, error) {
	ids := m.Evidence
	if ids == nil {
		ids = []evidence.ID{}
	}
	return json.Marshal(struct {
		From     int           `json:"from"`
		To       int           `json:"to"`
		Text     string        `json:"text"`
		Kind     Kind          `json:"kind"`
		Why      string        `json:"why"`
		Evidence []evidence.ID `json:"evidence"`
	}{m.From, m.To, m.Text, m.Kind, m.Why.String(), ids})
}

// Dropped is a disclosure that the text leaves out. Sentence put in at the rune At of the
// text, with what parts it from its neighbours, brings it back.
type Dropped struct {
	Finding  evidence.ID   `json:"finding"`
	Slot     evidence.Slot `json:"slot,omitempty"`
	Text     string        `json:"text"` // the words that disclose it
	Sentence string        `json:"sentence"`
	At       int           `json:"at"`
	Insert   string        `json:"insert"`
}

// Report is what Check finds.
type Report struct {
	Marks   []Mark    `json:"marks"`
	LeftOut []Dropped `json:"left_out"`
}

// Fit reports whether the text may be published or printed: every disclosure is in it and
// nothing private.
func (r Report) Fit() bool {
	for _, m := range r.Marks {
		if m.Kind == Private {
			return false
		}
	}
	return len(r.LeftOut) == 0
}

// Secret is something that is never told, such as the name of a client or what the watch
// cost, with why it is private.
type Secret struct {
	Text string
	Why  say.Statement
}
