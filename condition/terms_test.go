package condition

import (
	"slices"
	"testing"
)

func TestTermsAreWellFormed(t *testing.T) {
	seen := map[string]string{}
	for _, term := range Terms() {
		for _, name := range append([]string{term.ID}, term.Also...) {
			if other, twice := seen[name]; twice {
				t.Errorf("%q names both %s and %s", name, other, term.ID)
			}
			seen[name] = term.ID
		}
		if term.Name == "" || len(term.Definition) < 20 || len(term.Slots) == 0 {
			t.Errorf("%s: name, definition or slots missing", term.ID)
		}
		for _, s := range term.Slots {
			if !slices.Contains(Slots(), s) {
				t.Errorf("%s: no slot %q", term.ID, s)
			}
		}
		if term.Good {
			checkGood(t, term)
		} else {
			checkDefect(t, term)
		}
	}
}

func checkGood(t *testing.T, term Term) {
	if term.Lift <= 0 || term.Points != [5]float64{} || term.Cap != [5]float64{} {
		t.Errorf("%s: a good point lifts and takes nothing", term.ID)
	}
	for _, c := range term.Conflicts {
		if other, ok := Lookup(c); !ok || other.ID != c || other.Good {
			t.Errorf("%s: conflicts with %q, which is no defect", term.ID, c)
		}
	}
}

func checkDefect(t *testing.T, term Term) {
	for s := 1; s <= 4; s++ {
		if term.Severity[s] == "" {
			t.Errorf("%s: severity %d has no words", term.ID, s)
		}
		if term.Points[s] <= term.Points[s-1] {
			t.Errorf("%s: severity %d takes no more than %d", term.ID, s, s-1)
		}
		before, now := term.Cap[s-1], term.Cap[s]
		if before > 0 && (now == 0 || now > before) {
			t.Errorf("%s: the cap rises with severity %d", term.ID, s)
		}
	}
	if term.Lift != 0 || len(term.Conflicts) > 0 {
		t.Errorf("%s: a defect lifts nothing", term.ID)
	}
}

// What a condition report has to be able to say, by slot.
func TestTermsCover(t *testing.T) {
	for slot, ids := range map[string][]string{
		"case": {"unpolished", "sharp_edges", "original_finish_on_flanks", "polished", "lugs_thinned", "bevels_lost",
			"scratches", "dents", "corrosion", "lug_holes_drilled", "lug_holes_stretched", "replated", "laser_welded"},
		"bezel":   {"scratches", "faded", "chips", "loose"},
		"crystal": {"chips", "crazing", "cracks", "replaced", "magnifier_missing", "scratches"},
		"dial": {"even_ageing", "patina", "faded", "spider_cracks", "spotting", "moisture", "lume_loss", "relume",
			"refinished", "touched_up_print", "hand_scratches"},
		"hands":      {"corrosion", "lume_mismatch", "relume", "wrong_length"},
		"crown":      {"worn", "replaced", "stem_leaking"},
		"pushers":    {"worn", "replaced", "sticking"},
		"case_back":  {"tool_marks", "engraved", "markings_worn"},
		"movement":   {"dirty", "rust", "worn", "parts_replaced", "magnetised", "not_running", "clean_movement"},
		"bracelet":   {"stretch", "bent_links", "missing_links", "dents", "wrong_end_pieces", "tight_links"},
		"end_pieces": {"wrong_end_pieces", "loose"},
		"clasp":      {"worn", "weak"},
		"box":        {"torn", "not_matching", "broken"},
		"papers":     {"torn", "blank", "not_matching", "matching"},
	} {
		for _, id := range ids {
			if term, ok := Lookup(id); !ok || !term.Fits(slot) {
				t.Errorf("%s cannot be said of %s", id, slot)
			}
		}
	}
}

func TestLookup(t *testing.T) {
	for spelling, id := range map[string]string{"spider_cracks": "spider_cracks", "Spider cracks": "spider_cracks",
		" spider-cracks ": "spider_cracks", "reprinted": "refinished",
		"bracelet_stretch": "stretch", "leaking stem": "stem_leaking"} {
		if term, ok := Lookup(spelling); !ok || term.ID != id {
			t.Errorf("%q: got %q, want %q", spelling, term.ID, id)
		}
	}
	if _, ok := Lookup("haunted"); ok {
		t.Error("found a term that is not in the list")
	}
}

func TestTermsAreCopies(t *testing.T) {
	list := Terms()
	list[0].Slots[0], list[0].ID = "spoilt", "spoilt"
	term, _ := Lookup("as_new")
	term.Slots[0] = "spoilt"
	r := PublishedRubric()
	r.Weights["dial"], r.Measures[0].Curve[0][0] = -1, -1
	fresh := PublishedRubric()
	if again, ok := Lookup("as_new"); !ok || again.Slots[0] != "case" || fresh.Weights["dial"] < 0 ||
		fresh.Measures[0].Curve[0][0] < 0 {
		t.Error("the list was changed from outside")
	}
}

func TestRubricIsWellFormed(t *testing.T) {
	r := PublishedRubric()
	if r.Exponent >= 0 || !(0 < r.Diminish && r.Diminish < 1) ||
		!(r.Lowest < r.Start && r.Start < r.Top) || !(r.ExtentLow < 1 && 1 < r.ExtentHigh) {
		t.Errorf("%+v", r)
	}
	for _, s := range Slots() {
		if set := s == "box" || s == "papers"; (r.Weights[s] > 0) == set { // these are the completeness of the set
			t.Errorf("%s weighs %g", s, r.Weights[s])
		}
	}
	if len(r.Weights) != len(Slots())-2 {
		t.Error("a weight for a slot that does not exist")
	}
	for _, m := range r.Measures {
		for i := 1; i < len(m.Curve); i++ {
			a, b := m.Curve[i-1], m.Curve[i]
			if b[0] <= a[0] || (b[1] < a[1]) != m.Falling || b[1] == a[1] {
				t.Errorf("%s: curve turns at %v", m.Kind, b)
			}
		}
		if term, ok := Lookup(m.Term); m.Term != "" && (!ok || !term.Fits(m.Slot)) {
			t.Errorf("%s: term %q is not said of %s", m.Kind, m.Term, m.Slot)
		}
	}
}
