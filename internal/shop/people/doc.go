// Package people is the room of the shop's clients: who they are, what they want, what they
// allowed, what they were shown and offered, and how their data are erased.
//
// In go clients, wants and answers with the name of who enters them; out come records, matches in
// the order of the likeliest buyers (docs/methods/matching.md), vCards and files of clients. That
// client data were seen or changed is logged. It refuses to offer what another client was promised,
// to change a client whose data were erased, and to erase one while money is open, a watch of theirs
// is in the shop, or the local rules ask that the record be kept.
//
// Read Room.MatchWatch first, then Room.Erase.
package people
