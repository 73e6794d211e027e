// Package check reads everything that a shop keeps and says what is not as it was written.
//
// In go the parts of a shop: its database, its blobs, its book. Out comes a list of findings, each with the
// kind of thing, its id and a sentence; an empty list means that nothing was found. It changes nothing, and
// reads a copy on a medium that cannot be written.
//
// It cannot see what leaves no trace: a change by somebody who also computes all sums anew, unless a head of
// the log was kept elsewhere or is printed on a paper; or an edit by hand of a book's current file, which is
// allowed. Read All.
package check
