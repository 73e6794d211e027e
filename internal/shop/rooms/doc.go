// Package rooms opens a shop with all its rooms: the one way in for the command line, the pages,
// the JSON API and the demo alike.
//
// In go the stores (shop.Stores) with clock and source of ids (shop.Options); out comes a Shop, in
// which each room is a field. It refuses stores that are missing. The rooms:
//
//   - intake records: evidence, photographs, sounds.
//   - trade takes each step of a watch with the money that goes with it.
//   - people knows the clients, what they want and what they allowed.
//   - accounts reads the books.
//   - library edits the reference book.
//   - desk is what the shop looks at: the stock and its worth, calendar, counter.
//
// Read Open.
package rooms
