// Package shop is what a shop does: take watches in, record evidence, form and keep
// opinions, take in sales. It is the one way in for the command line, the pages, the
// JSON API and the demo alike.
//
// What goes in: requests with the name of the person who makes them. What comes out:
// records, opinions, and errors of few kinds (ErrNotFound, ErrConflict, ErrExists,
// Invalid) that say what was wrong and what would be right. Every change is whole or
// does not happen.
//
// It declares the small interfaces that it needs of a store (stores.go) and knows
// nothing of SQL, HTTP or files; the clock and the source of ids are given to New.
//
// Read Shop first, then Record and Opinion.
package shop
