package metal

import (
	"slices"

	"midcase/say"
)

// Mark is what a hallmark says, in plain observations. A mark is not an assay.
type Mark struct {
	Text string // as read
	// Permille is the fineness that it states, 0 where it states none. A karat gives
	// the fineness mark that goes with it (14 k gives 585). Of a plated part it is the
	// fineness of the layer.
	Permille int
	Karat    float64 // as written; 0 where none is
	// Elements are the metals that it can mean: one where it is said or follows, more
	// where the number is used for several, none where nothing was read.
	Elements []string
	Colour   string // yellow, white or rose where it says so
	Zolotnik int    // the 96ths of old Russia from which Permille was read; 0 where it was not
	Plated   bool   // says that the precious metal is a layer only
	// Base is the base metal that it names: steel, nickel, nickel_silver, brass,
	// aluminium, titanium or base where it says no more; empty where it names none.
	Base string
	// Body and BodyPermille are the precious metal under a layer, such as silver 925
	// under gold; empty where there is none.
	Body         string
	BodyPermille int
	Slot         string // the part that the mark itself names, such as case_back; empty where none
	// Conflict: it states two finenesses or two metals that cannot both be true.
	Conflict bool
	Unread   []string        // symbols and words kept as read
	Says     []say.Statement // sentences for a page
}

// Element is the metal that the mark means, empty where it can mean several or
// none.
func (m Mark) Element() string {
	if len(m.Elements) == 1 {
		return m.Elements[0]
	}
	return ""
}

// Steel reports whether the mark says steel.
func (m Mark) Steel() bool { return m.Base == "steel" }

// Reads reports whether the mark says anything about the metal.
func (m Mark) Reads() bool { return m.Permille > 0 || len(m.Elements) > 0 || m.Plated || m.Base != "" }

// Stance is how a mark stands to what a part is said to be.
type Stance int

// The stances.
const (
	Silent      Stance = iota // says nothing that bears on it
	Fits                      // can be the mark of such a part
	Contradicts               // cannot be
)

// Against sets the mark beside the metal that a part is said to be of: element and
// fineness, or an empty element and 0 for base, plated or mixed metal. A layer, a base
// metal, another element, another fineness and a mark that contradicts itself
// contradict a solid part; a solid mark contradicts a base one.
func (m Mark) Against(element string, permille int) Stance {
	switch {
	case !m.Reads():
		return Silent
	case m.Conflict:
		return Contradicts
	case permille == 0:
		if !m.Plated && m.Base == "" && (m.Permille > 0 || len(m.Elements) > 0) {
			return Contradicts
		}
		return Fits
	case m.Plated:
		if m.Body == element && (m.BodyPermille == 0 || SameFineness(m.BodyPermille, permille)) {
			return Fits
		}
		return Contradicts
	case m.Base != "", !slices.Contains(m.Elements, element):
		return Contradicts
	case m.Permille > 0 && !SameFineness(m.Permille, permille):
		return Contradicts
	}
	return Fits
}

// Contradicts reports whether two marks cannot both be true of one solid part.
func (m Mark) Contradicts(other Mark) bool {
	switch {
	case !m.Reads() || !other.Reads():
		return false
	case m.Conflict || other.Conflict:
		return true
	case (m.Plated || m.Base != "") != (other.Plated || other.Base != ""):
		return true
	case m.Plated || m.Base != "":
		return false // neither counts any metal
	case m.Permille > 0 && other.Permille > 0 && !SameFineness(m.Permille, other.Permille):
		return true
	}
	return !slices.ContainsFunc(m.Elements, func(e string) bool { return slices.Contains(other.Elements, e) })
}

// sentences says what was read.
func (m Mark) sentences() []say.Statement {
	var out []say.Statement
	elements := make([]say.Value, len(m.Elements))
	for i, e := range m.Elements {
		elements[i] = say.Noun{Set: "element", ID: e}
	}
	switch {
	case m.Permille > 0 && m.Karat > 0 && len(elements) > 0:
		out = append(out, say.That("hallmark.karat", say.Fixed("karat", m.Karat, say.None, decimalsOf(m.Karat)),
			say.Fixed("fineness", float64(m.Permille), say.PerMille, 0), say.All("elements", elements...)))
	case m.Permille > 0 && len(elements) > 1:
		out = append(out, say.That("hallmark.several", say.Fixed("fineness", float64(m.Permille), say.PerMille, 0),
			say.All("elements", elements...)))
	case m.Permille > 0:
		out = append(out, say.That("hallmark.fineness", say.Fixed("fineness", float64(m.Permille), say.PerMille, 0),
			say.All("elements", elements...)))
	case len(elements) > 0:
		out = append(out, say.That("hallmark.element", say.All("elements", elements...)))
	}
	if m.Zolotnik > 0 {
		out = append(out, say.That("hallmark.zolotnik", say.Count("zolotniks", m.Zolotnik)))
	}
	switch {
	case m.Plated && m.Body != "":
		out = append(out, say.That("hallmark.layer-on", say.Term("body", "element", m.Body, "")))
	case m.Plated:
		out = append(out, say.That("hallmark.layer"))
	}
	switch m.Base {
	case "":
	case "nickel_silver":
		out = append(out, say.That("hallmark.no-silver"))
	default:
		out = append(out, say.That("hallmark.base", say.Term("base", "base_metal", m.Base, "")))
	}
	if m.Conflict {
		out = append(out, say.That("hallmark.conflict"))
	}
	if len(m.Unread) > 0 {
		words := make([]say.Value, len(m.Unread))
		for i, w := range m.Unread {
			words[i] = say.Proper(w)
		}
		out = append(out, say.That("hallmark.unread", say.All("words", words...)))
	}
	if m.Reads() {
		out = append(out, say.That("hallmark.no-assay"))
	}
	return out
}

func decimalsOf(karat float64) int {
	if karat == float64(int(karat)) {
		return 0
	}
	return 1
}
