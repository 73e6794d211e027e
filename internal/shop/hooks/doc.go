// Package hooks tells other programs of changes: each address that a shop has for it gets a signed message when a watch
// changes, evidence is recorded, a sale is booked or a paper is issued.
//
// In go addresses, and what is on record; out go messages, which say what changed by its id and nothing more. What
// to send is read from the logs of the store after it was recorded, so that telling never holds a save up; it is kept
// in the store and sent again, ever later, until it is taken or given up after a day. A message may come twice; it
// has one id.
//
// It refuses an address without TLS, unless it is on this machine. Read Room.Notice, then Room.Send.
package hooks
