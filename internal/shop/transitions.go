package shop

import (
	"fmt"
	"slices"
	"strings"
)

// Transition is one step that a watch may take. An empty Owned is any.
type Transition struct {
	From  State     `json:"from"`
	To    State     `json:"to"`
	Owned Ownership `json:"owned,omitempty"`
	What  string    `json:"what"`
}

// base is the state of a watch that lies in stock with nothing else going on.
var base = map[Ownership]State{Own: Bought, OfOthers: Consigned, InPartner: PartShare}

var transitions = makeTransitions()

// Transitions lists every step that a watch may take.
func Transitions() []Transition { return slices.Clone(transitions) }

func makeTransitions() []Transition {
	out := []Transition{
		{Offered, Bought, Own, "bought"},
		{Offered, Consigned, OfOthers, "taken on consignment"},
		{Offered, PartShare, InPartner, "bought with partners"},
		{Offered, Returned, "", "declined and given back"},
		{Returned, Offered, "", "offered again"},
		{Reserved, Sold, "", "sold"},
		{Reserved, Listed, "", "reservation ended"},
		{Reserved, Photographed, "", "reservation ended"},
		{OnMemo, Sold, "", "sold by the holder"},
		{OnMemo, Listed, "", "back from memo"},
		{OnMemo, Reserved, "", "reserved while on memo"},
		{Sold, Returned, "", "taken back from the buyer"},
	}
	inHand := []State{Bought, Consigned, PartShare, AtWorkshop, Photographed, Listed, Returned}
	for _, from := range inHand {
		for _, to := range []Transition{{"", AtWorkshop, "", "to the watchmaker"}, {"", Photographed, "", "photographed"}, {"", Listed, "", "listed"},
			{"", Reserved, "", "reserved"}, {"", OnMemo, "", "out on memo"}, {"", Sold, "", "sold"}} {
			for _, owned := range []Ownership{Own, OfOthers, InPartner} {
				if from != to.To && (from == Returned || from == AtWorkshop || from == Photographed || from == Listed || base[owned] == from) {
					out = append(out, Transition{from, to.To, owned, to.What})
				}
			}
		}
	}
	for _, owned := range []Ownership{Own, OfOthers, InPartner} {
		for _, from := range []State{AtWorkshop, Photographed, Listed, Reserved, OnMemo, Returned} {
			out = append(out, Transition{from, base[owned], owned, "back in stock"})
		}
	}
	for _, from := range []State{Consigned, AtWorkshop, Photographed, Listed} {
		out = append(out, Transition{from, Returned, OfOthers, "given back to the consignor"})
	}
	return out
}

// transition finds the step from where a watch stands to a state. The ownership that
// counts is the one that the step leads to for a watch that comes in, else the present.
func transition(from State, owned Ownership, to State) (Transition, bool) {
	for _, t := range transitions {
		if t.From != from || t.To != to {
			continue
		}
		if t.Owned == "" || t.Owned == owned || from == Offered {
			if from == Returned && (owned == "") != (to == Offered) {
				continue // given back for good; only what was sold and came back goes on
			}
			return t, true
		}
	}
	return Transition{}, false
}

// nexts lists where a watch may go from where it stands, in words for an error.
func nexts(from State, owned Ownership) string {
	var out []string
	for _, to := range States() {
		if _, ok := transition(from, owned, to); ok {
			out = append(out, string(to))
		}
	}
	if len(out) == 0 {
		return fmt.Sprintf("nothing: %s is the end", from)
	}
	return strings.Join(out, ", ")
}

// NextStates lists the states into which a watch may go from where it stands.
func NextStates(w Watch) []State {
	var out []State
	for _, to := range States() {
		if _, ok := transition(w.State, w.Ownership(), to); ok {
			out = append(out, to)
		}
	}
	return out
}
