// Package opinion composes evidence, reference book and market into one Opinion: when
// a watch was made, which of its parts belong, how good it is, what its metal weighs,
// how it runs, what it is worth, what to pay, and what is still unknown.
//
// What goes in: the folded evidence of one watch, the book, a market, settings and a
// date. What comes out: an Opinion whose every figure carries a range and points to
// the evidence, book entries and sales that it stands on. It is a pure function: the
// same input gives the same bytes, and the opinion as of last March counts nothing
// recorded since.
//
// It refuses to turn a claim of the seller into a fact, to state a value without
// sales, and to hide what was not examined.
//
// The computing is done by origin, condition, metal, timing, market and deal, which
// know nothing of one another; this package translates. Read Form first.
package opinion
