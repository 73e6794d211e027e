// Package estimate is how Midcase says a figure: a value with its interval, the
// reasons for it and the basis it stands on. "Cannot tell" is such a value too,
// not an error.
//
// Read Figure first. Percent writes a probability so that it never claims certainty.
package estimate
