package photobench

import (
	"net/url"
	"slices"

	"midcase/photo"
	"midcase/say"
)

// Proposal is something found in the picture, with how sure.
type Proposal struct {
	What string
	Sure float64 // 0 to 1
}

// FoundAnswer is what was found without picks: its points stand in the form.
type FoundAnswer struct {
	Proposals []Proposal
	Notes     []say.Statement
}

// sizeNames are the sizes of evidence by the names that finding gives them.
var sizeNames = map[string]string{"mid-case": "mid_case_diameter", "lug width": "lug_width", "lug to lug": "lug_to_lug"}

// FoundForm is the form with what was found in it; ok is false where nothing was that the mode could use.
func FoundForm(mode string, f photo.Found) (v url.Values, answer FoundAnswer, ok bool) {
	answer.Notes = notesFor(mode, f.Notes)
	add := func(what string, sure float64) { answer.Proposals = append(answer.Proposals, Proposal{what, sure}) }
	p := f.Picks()
	switch {
	case mode == Sizes && f.Square != nil:
		add("printed square", f.Square.Sure)
		for i, c := range f.Circles {
			add(c.Name, c.Sure)
			p.Circles[i].Name = sizeNames[c.Name]
		}
		for i, l := range f.Lengths {
			add(l.Name, l.Sure)
			p.Lengths[i].Name = sizeNames[l.Name]
		}
		v = reopenSize(reopenScale(p), p, "")
		if len(p.Circles)+len(p.Lengths) == 0 {
			v.Del("ask") // the scale alone measures nothing yet
		}
		return v, answer, true
	case mode == Dial && f.Dial != nil:
		add("edge of the dial", f.Dial.Sure)
		if f.Twelve != nil {
			add("twelve o'clock", f.Twelve.Sure)
		}
		least := 1.0
		for _, q := range f.Plots {
			least = min(least, q.Sure)
		}
		if len(f.Plots) > 0 {
			add(count(len(f.Plots), "plot")+", the least sure of them", least)
		}
		return reopenDial(p), answer, true
	}
	return nil, answer, false
}

// notesFor leaves out what does not bear on the colours of a dial.
func notesFor(mode string, all []say.Statement) []say.Statement {
	if mode != Dial {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(s say.Statement) bool {
		switch s.Kind {
		case "found.no-square", "found.usual-square", "found.case-unsure", "found.case-hidden":
			return true
		}
		return false
	})
}

// Finds reports whether a mode can have its points found.
func Finds(mode string) bool { return mode == Sizes || mode == Dial }

func (d Data) findPath() string { return d.modePath(d.Mode) + "&find=1" }
