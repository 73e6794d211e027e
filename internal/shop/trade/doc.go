// Package trade is the room in which watches change hands: each step of a watch with the money that
// goes with it, what stands in the way of a sale, and the local rules that say so.
//
// In go a watch, the terms of a step and the name of who takes it; out comes a movement, kept with
// the ledger entries that it causes or not at all, and undone by a counter-step, never taken away
// (transitions.go lists the steps). A sale inside a hold is refused unless a reason is given, which is
// kept. It refuses to give legal or tax advice: the rules of a place are settings with examples. The
// money is computed in package ledger.
//
// Read Room.Buy first, then Room.Sell and Room.Undo.
package trade
