// Package estimate is how Midcase says a figure: a value with its interval, the
// reasons for it and the basis it stands on. "Cannot tell" is such a value too,
// not an error.
//
// Read Figure first. Words turns a probability into the one phrase that pages,
// documents and the command line all use for it.
package estimate
