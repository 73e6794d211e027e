package trade

import (
	"fmt"
	"midcase/internal/shop"
	"slices"
	"strings"
)

// Transition is one step that a watch may take. An empty Owned is any.
type Transition struct {
	From  shop.State     `json:"from"`
	To    shop.State     `json:"to"`
	Owned shop.Ownership `json:"owned,omitempty"`
	What  string         `json:"what"`
}

// base is the state of a watch that lies in stock with nothing else going on.
var base = map[shop.Ownership]shop.State{shop.Own: shop.Bought, shop.OfOthers: shop.Consigned,
	shop.InPartner: shop.PartShare}

var transitions = makeTransitions()

// Transitions lists every step that a watch may take.
func Transitions() []Transition { return slices.Clone(transitions) }

func makeTransitions() []Transition {
	out := []Transition{
		{shop.Offered, shop.Bought, shop.Own, "bought"},
		{shop.Offered, shop.Consigned, shop.OfOthers, "taken on consignment"},
		{shop.Offered, shop.PartShare, shop.InPartner, "bought with partners"},
		{shop.Offered, shop.Returned, "", "declined and given back"},
		{shop.Returned, shop.Offered, "", "offered again"},
		{shop.Reserved, shop.Sold, "", "sold"},
		{shop.Reserved, shop.Listed, "", "reservation ended"},
		{shop.Reserved, shop.Photographed, "", "reservation ended"},
		{shop.OnMemo, shop.Sold, "", "sold by the holder"},
		{shop.OnMemo, shop.Listed, "", "back from memo"},
		{shop.OnMemo, shop.Reserved, "", "reserved while on memo"},
		{shop.Sold, shop.Returned, "", "taken back from the buyer"},
		{shop.Sold, shop.Bought, shop.Own, "bought back"},
	}
	inHand := []shop.State{shop.Bought, shop.Consigned, shop.PartShare, shop.AtWorkshop, shop.Photographed, shop.Listed,
		shop.Returned}
	for _, from := range inHand {
		for _, to := range []Transition{{"", shop.AtWorkshop, "", "to the watchmaker"},
			{"", shop.Photographed, "", "photographed"}, {"", shop.Listed, "", "listed"},
			{"", shop.Reserved, "", "reserved"}, {"", shop.OnMemo, "", "out on memo"}, {"", shop.Sold, "", "sold"}} {
			for _, owned := range []shop.Ownership{shop.Own, shop.OfOthers, shop.InPartner} {
				if from != to.To && (from == shop.Returned || from == shop.AtWorkshop || from == shop.Photographed ||
					from == shop.Listed || base[owned] == from) {
					out = append(out, Transition{from, to.To, owned, to.What})
				}
			}
		}
	}
	for _, owned := range []shop.Ownership{shop.Own, shop.OfOthers, shop.InPartner} {
		for _, from := range []shop.State{shop.AtWorkshop, shop.Photographed, shop.Listed, shop.Reserved, shop.OnMemo,
			shop.Returned} {
			out = append(out, Transition{from, base[owned], owned, "back in stock"})
		}
	}
	for _, from := range []shop.State{shop.Consigned, shop.AtWorkshop, shop.Photographed, shop.Listed} {
		out = append(out, Transition{from, shop.Returned, shop.OfOthers, "given back to the consignor"})
	}
	return out
}

// transition finds the step from where a watch stands to a state. The ownership that
// counts is the one that the step leads to for a watch that comes in, else the present.
func transition(from shop.State, owned shop.Ownership, to shop.State) (Transition, bool) {
	for _, t := range transitions {
		if t.From != from || t.To != to {
			continue
		}
		if t.Owned == "" || t.Owned == owned || from == shop.Offered || from == shop.Sold {
			if from == shop.Returned && (owned == "") != (to == shop.Offered) {
				continue // given back for good; only what was sold and came back goes on
			}
			return t, true
		}
	}
	return Transition{}, false
}

// nexts lists where a watch may go from where it stands, in words for an error.
func nexts(from shop.State, owned shop.Ownership) string {
	var out []string
	for _, to := range shop.States() {
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
func NextStates(w shop.Watch) []shop.State {
	var out []shop.State
	for _, to := range shop.States() {
		if _, ok := transition(w.State, w.Ownership(), to); ok {
			out = append(out, to)
		}
	}
	return out
}
