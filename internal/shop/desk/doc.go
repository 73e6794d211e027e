// Package desk is the room of what the shop looks at: its calendar, and the counter where a watch is
// told of before it is taken in.
//
// In go questions; out come lists and offers. It refuses inquiries that no reference of the book
// answers.
//
// Read Room.Agenda first, then Room.Counter.
package desk
