// Package desk is the room of what the shop looks at: the stock with the opinion on each watch in a
// line, searched and under saved views; the worth of the whole stock; the calendar; and the counter,
// where a watch is told of before it is taken in.
//
// In go questions; out come lists, ranges and offers. Where many opinions are out of date it shows what
// there was, says how many are being formed anew, and goes on in the background. It refuses inquiries
// that no reference of the book answers.
//
// Read Room.Overview first, then Room.Agenda and Room.Counter.
package desk
