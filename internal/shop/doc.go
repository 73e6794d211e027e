// Package shop is what a shop does: take watches in, record evidence, form and keep
// opinions, take in sales, buy, consign, share, repair, reserve and sell, keep the books,
// know its clients and who wants what. It is the one way in for the command line, the
// pages, the JSON API and the demo alike.
//
// What goes in: requests with the name of the person who makes them. What comes out:
// records, opinions, and errors of few kinds (ErrNotFound, ErrConflict, ErrExists,
// Invalid) that say what was wrong and what would be right. Every change is whole or
// does not happen.
//
// It declares the small interfaces that it needs of a store (stores.go) and knows
// nothing of SQL, HTTP or files; the clock and the source of ids are given to New.
//
// A step in a watch's life (transitions.go) is kept with the ledger entries that it
// causes or not at all, and undone by a counter-step, never taken away. A sale inside a
// hold (holds.go) is refused unless a reason is given, which is kept. It refuses to give
// legal or tax advice: rules of a place are settings with examples. The money is reckoned
// in package ledger; matching is told in docs/methods/matching.md.
//
// Read Shop first, then Record and Opinion; for the trade, Buy, Sell and MatchWatch.
package shop
