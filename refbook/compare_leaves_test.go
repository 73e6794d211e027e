package refbook

import (
	"fmt"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
)

// twins is a book with two references that are alike in every leaf.
func twins(t *testing.T) *Book {
	t.Helper()
	b := good(t)
	m := &b.Makers[0]
	r := m.References[0]
	r.ID = r.ID + "-twin"
	m.References = append([]Reference{m.References[0], r}, m.References[1:]...)
	m.References[1].Slots = nil
	for _, s := range m.References[0].Slots {
		s.Variants = append([]Variant(nil), s.Variants...)
		m.References[1].Slots = append(m.References[1].Slots, s)
	}
	m.References[1].Dimensions = append([]Dimension(nil), m.References[0].Dimensions...)
	m.References[1].Weights = append([]Weight(nil), m.References[0].Weights...)
	m.References[1].Rules = append([]Rule(nil), m.References[0].Rules...)
	return b
}

// An edit of any leaf that can be seen or measured is found, under a name that is the same on
// both sides too.
func TestEveryLeafIsCompared(t *testing.T) {
	between := func(b *Book) []Difference {
		t.Helper()
		m := b.Makers[0]
		c, err := Compare(b, m.ID, m.References[0].ID, m.ID, m.References[1].ID)
		if err != nil {
			t.Fatal(err)
		}
		return c.Differences
	}
	if d := between(twins(t)); len(d) != 0 {
		t.Fatalf("twins differ: %+v", d)
	}
	early := []Window{{Made: edtf.MustParse("1901/1902")}}
	newRule, withRule := Rule{ID: "new", Says: "a new rule"}, Rule{ID: "n", With: &With{Variant: "x"}}
	edits := map[string]func(r *Reference, v *Variant){
		"look":             func(_ *Reference, v *Variant) { v.Look += " with a line" },
		"lume":             func(_ *Reference, v *Variant) { v.Lume += "radium2" },
		"markers":          func(_ *Reference, v *Variant) { v.Markers = append([]int{11}, v.Markers...) },
		"metal":            func(_ *Reference, v *Variant) { v.Metal += "x" },
		"stamp":            func(_ *Reference, v *Variant) { v.Stamp += "x" },
		"traits":           func(_ *Reference, v *Variant) { v.Traits = map[string]string{"feet": "three"} },
		"name":             func(_ *Reference, v *Variant) { v.Name += " second" },
		"service":          func(_ *Reference, v *Variant) { v.Service = !v.Service },
		"windows":          func(_ *Reference, v *Variant) { v.Windows = early },
		"share":            func(_ *Reference, v *Variant) { v.Windows = []Window{{Share: 0.123}} },
		"works":            func(_ *Reference, v *Variant) { v.Windows = []Window{{Works: "the other works"}} },
		"markets":          func(_ *Reference, v *Variant) { v.Windows = []Window{{Markets: []string{"ZZ"}}} },
		"replaced":         func(r *Reference, _ *Variant) { r.Slots[0].Replaced += 0.01 },
		"rules":            func(r *Reference, _ *Variant) { r.Rules = append(r.Rules, newRule) },
		"of rule":          func(r *Reference, _ *Variant) { r.Rules = append(r.Rules, withRule) },
		"strap":            func(r *Reference, _ *Variant) { r.Strap = !r.Strap },
		"feature":          func(r *Reference, _ *Variant) { r.Features = map[string]string{"bezel": "quite another"} },
		"reference's name": func(r *Reference, _ *Variant) { r.Name += " II" },
		"made":             func(r *Reference, _ *Variant) { r.Made = edtf.MustParse("1901/1902") },
		"tolerance":        func(r *Reference, _ *Variant) { r.Dimensions[0].ToleranceMM += 0.2 },
		"spoken":           func(r *Reference, _ *Variant) { r.Dimensions[0].SpokenMM += 3 },
		"size":             func(r *Reference, _ *Variant) { r.Dimensions[0].MM += 0.4 },
		"weight":           func(r *Reference, _ *Variant) { r.Weights[len(r.Weights)-1].G += 1 },
	}
	n := len(twins(t).Makers[0].References[1].Slots)
	for name, edit := range edits {
		for slot := range n {
			b := twins(t)
			r := &b.Makers[0].References[1]
			for i := range r.Slots[slot].Variants {
				if (name == "weight" && len(r.Weights) == 0) || r.Slots[slot].Slot == evidence.Bracelet {
					continue
				}
				edit(r, &r.Slots[slot].Variants[i])
				if d := between(b); len(d) == 0 {
					t.Errorf("%s of %s: not found", name, fmt.Sprint(r.Slots[slot].Slot))
				}
				break
			}
		}
	}
}

// A case of steel and gold is told from one of steel by its colour.
func TestTwoColours(t *testing.T) {
	if a, b := colour(&Metal{Name: "steel"}), colour(&Metal{Name: "steel and gold"}); a == b {
		t.Errorf("both are %s", a)
	}
}
