package evidence

import (
	"midcase/edtf"
	"midcase/money"
)

// What a trial can be.
const (
	TrialLookedOver  = "looked_over"
	TrialUltraviolet = "ultraviolet"
	TrialRadiation   = "radiation"
	TrialPressure    = "pressure"
	TrialFunction    = "function"
	TrialReserve     = "power_reserve"
)

// TrialKinds lists what a trial can be.
func TrialKinds() []string {
	return []string{TrialLookedOver, TrialUltraviolet, TrialRadiation, TrialPressure, TrialFunction, TrialReserve}
}

// trialUnits are the units of trials that give a figure.
var trialUnits = map[string][]string{TrialRadiation: {"uSv/h", "cps"}, TrialPressure: {"bar"}, TrialReserve: {"h"}}

// Trial is a part looked over, a function tried, or a reading of an instrument that is
// neither size, weight nor rate.
type Trial struct {
	What string `json:"what" jsonschema:"enum=looked_over,enum=ultraviolet,enum=radiation,enum=pressure,enum=function,enum=power_reserve"`
	Slot Slot   `json:"slot,omitempty"`
	Of   string `json:"of,omitempty"` // the function tried: "chronograph reset"
	// Result is ok or fails; of a part looked over it is empty: nothing more was found. Of
	// ultraviolet light it is glows, fades or none.
	Result     string    `json:"result,omitempty" jsonschema:"enum=ok,enum=fails,enum=glows,enum=fades,enum=none"`
	Value      float64   `json:"value,omitempty"` // 0 means not read
	Unit       string    `json:"unit,omitempty" jsonschema:"enum=uSv/h,enum=cps,enum=bar,enum=h"`
	Date       edtf.Date `json:"date,omitzero"`
	Instrument string    `json:"instrument,omitempty"`
	Note       string    `json:"note,omitempty" typed:"text"`
}

// Kind implements Data.
func (*Trial) Kind() Kind { return KindTrial }

// Check implements Data.
func (t *Trial) Check() (p Problems) {
	oneOf(&p, "what", t.What, TrialKinds())
	checkSlot(&p, t.Slot, t.What == TrialLookedOver)
	switch t.What {
	case TrialFunction:
		p.need("of", t.Of, "the function that was tried, such as chronograph reset")
		oneOf(&p, "result", t.Result, []string{"ok", "fails"})
	case TrialUltraviolet:
		oneOf(&p, "result", t.Result, []string{"glows", "fades", "none"})
	case TrialPressure:
		oneOf(&p, "result", t.Result, []string{"ok", "fails"})
		if t.Date.IsZero() {
			p.add("date", "nothing", "the day of the test, such as 2026-03-01")
		}
	}
	p.within("value", t.Value, 0, 1e6, "")
	if units, ok := trialUnits[t.What]; ok {
		oneOf(&p, "unit", t.Unit, units)
		if t.Value <= 0 {
			p.add("value", "nothing", "the figure that was read")
		}
	} else if t.Unit != "" || t.Value != 0 {
		p.add("value", "a figure", "none for this kind of trial")
	}
	return p
}

func (t *Trial) dates() []namedDate { return []namedDate{{"date", t.Date}} }

// Need is work that a watch still needs, with an estimate of its cost.
type Need struct {
	What string      `json:"what"` // "service", "new crystal"
	Slot Slot        `json:"slot,omitempty"`
	Cost money.Money `json:"cost,omitzero"` // estimated
	Note string      `json:"note,omitempty" typed:"text"`
}

// Kind implements Data.
func (*Need) Kind() Kind { return KindNeed }

// Check implements Data.
func (n *Need) Check() (p Problems) {
	p.need("what", n.What, "the work that is needed, such as service")
	checkSlot(&p, n.Slot, false)
	if !n.Cost.IsZero() && n.Cost.Sign() < 0 {
		p.add("cost", n.Cost.String(), "an amount of zero or more")
	}
	return p
}

// Ownership is one link in the chain of owners, as far as it is told or shown. Evidence
// cannot be erased, so it describes an owner and leaves the name of a living person to the
// list of clients.
type Ownership struct {
	Owner string    `json:"owner"` // "first owner", "heirs", "dealer"
	How   string    `json:"how,omitempty"`
	From  edtf.Date `json:"from,omitzero"`
	Until edtf.Date `json:"until,omitzero"`
	Shown string    `json:"shown,omitempty"` // by what: receipt, letter, word of mouth
	Note  string    `json:"note,omitempty" typed:"text"`
}

// Kind implements Data.
func (*Ownership) Kind() Kind { return KindOwnership }

// Check implements Data.
func (o *Ownership) Check() (p Problems) {
	p.need("owner", o.Owner, "who it was, such as first owner")
	return p
}

func (o *Ownership) dates() []namedDate {
	return []namedDate{{"from", o.From}, {"until", o.Until}}
}
