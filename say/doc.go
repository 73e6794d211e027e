// Package say is how Midcase says something: as a value first, as text last.
//
// A Statement is what is said: its kind, such as "parts.too-late", and typed arguments
// (an amount, a length, a chance, a span of months, the name of a part). The computing
// packages return statements and never a sentence. A Catalogue holds the sentences of
// one language; a Writer turns a statement into text with the catalogue of a language
// and the figures of a Locale. The Text that comes out keeps its parts apart, so that
// a page can link a figure to what it stands on.
//
// What goes in: statements. What comes out: Text, or one string. It refuses a kind that
// the catalogue does not have by writing the kind itself, which the tests never let
// pass: they read every call of That in the program and compare it with the catalogue.
//
// Rounded is the one rule of rounding: no figure shows more digits than its range
// allows. Read That and Writer.Text first.
package say
