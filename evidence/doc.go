// Package evidence holds what somebody saw, measured, received or was told about
// one watch: the closed list of kinds, their checks, their JSON form, and the watch
// file that they fold into. It is the vocabulary that the rest of Midcase shares.
//
// What goes in: items, each with an id, a time, a person and the data of its kind.
// What comes out: Fold gives the File of a watch as it stood at a moment, with
// withdrawals applied, the latest item first, every view traceable to item ids.
//
// It refuses to change an item: what was wrong is withdrawn by a further item and
// stays on the record. It also refuses to judge; a claim of the seller is kept, and
// never counted as fact.
//
// Read Item first, then Fold. The JSON Schemas of all kinds are in
// docs/schema/watch.schema.json.
package evidence
