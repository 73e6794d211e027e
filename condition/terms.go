package condition

import (
	_ "embed"
	"encoding/json"
	"slices"
	"strings"

	"midcase/say"
)

// Term is one controlled term for a finding.
type Term struct {
	ID         string
	Name       string
	Also       []string // other spellings that Lookup accepts
	Slots      []string // where it can be said, in reading order of Slots
	Definition string   // for a buyer
	// Severity says in words what 1 to 4 mean; Severity[0] is "looked for, not
	// found", or for a good point "seen".
	Severity [5]string
	Good     bool // a good point, stated with severity 0
	// Points are taken off at severity 1 to 4 with an extent not stated; Points[0]
	// is 0.
	Points [5]float64
	// Cap is the highest grade of the slot at severity 1 to 4; 0 sets none.
	Cap [5]float64
	// Lift is what a good point adds to the start, before the diminishing sum.
	Lift float64
	// Conflicts are the defects beside which a good point does not count.
	Conflicts []string
}

// Fits reports whether the term can be said of the slot.
func (t Term) Fits(slot string) bool { return slices.Contains(t.Slots, slot) }

func (t Term) clone() Term {
	t.Also, t.Slots, t.Conflicts = slices.Clone(t.Also), slices.Clone(t.Slots), slices.Clone(t.Conflicts)
	return t
}

//go:embed terms.json
var termsJSON []byte

type wireTerm struct {
	ID         string    `json:"id"`
	Name       string    `json:"name"`
	Also       []string  `json:"also"`
	Slots      []string  `json:"slots"`
	Definition string    `json:"definition"`
	Severity   []string  `json:"severity"`
	Good       bool      `json:"good"`
	Points     []float64 `json:"points"`
	Caps       []float64 `json:"caps"`
	Lift       float64   `json:"lift"`
	Conflicts  []string  `json:"conflicts"`
}

// The list is fixed when the program is built and never changed afterwards.
var terms, termIndex = loadTerms(termsJSON)

func loadTerms(data []byte) ([]Term, map[string]int) {
	var wire []wireTerm
	if err := json.Unmarshal(data, &wire); err != nil {
		panic("condition: terms.json: " + err.Error()) // built-in data, held by a test
	}
	list := make([]Term, len(wire))
	index := map[string]int{}
	for i, w := range wire {
		t := Term{ID: w.ID, Name: w.Name, Also: w.Also, Slots: w.Slots, Definition: w.Definition, Good: w.Good,
			Lift: w.Lift, Conflicts: w.Conflicts}
		t.Severity[0] = "looked for, not found"
		if t.Good {
			t.Severity[0] = "seen"
		}
		copy(t.Severity[1:], w.Severity)
		copy(t.Points[1:], w.Points)
		copy(t.Cap[1:], w.Caps)
		list[i] = t
		for _, name := range append([]string{w.ID}, w.Also...) {
			index[name] = i
		}
	}
	return list, index
}

// Terms lists the controlled terms, good points first. The caller may change the
// list it gets.
func Terms() []Term {
	out := make([]Term, len(terms))
	for i, t := range terms {
		out[i] = t.clone()
	}
	return out
}

// TermsFor lists the terms that can be said of a slot.
func TermsFor(slot string) []Term {
	var out []Term
	for _, t := range terms {
		if t.Fits(slot) {
			out = append(out, t.clone())
		}
	}
	return out
}

// Lookup finds a term by its id or another spelling; case, spaces and hyphens do
// not matter ("Spider cracks" finds spider_cracks).
func Lookup(id string) (Term, bool) {
	t, ok := find(id)
	return t.clone(), ok
}

func find(id string) (Term, bool) {
	if i, ok := termIndex[id]; ok {
		return terms[i], true
	}
	key := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(id)))
	i, ok := termIndex[key]
	if !ok {
		return Term{}, false
	}
	return terms[i], true
}

// Slots lists the slots that can be graded, in reading order.
func Slots() []string {
	return []string{"case", "bezel", "crystal", "dial", "hands", "crown", "pushers", "case_back", "movement",
		"bracelet", "end_pieces", "clasp", "box", "papers"}
}

// slotNoun is the name of a slot as a word of the trade.
func slotNoun(slot string) say.Noun { return say.Noun{Set: "slot", ID: slot} }

func slotName(slot string) string { return strings.ReplaceAll(slot, "_", " ") }
