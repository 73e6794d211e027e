// Package fitfile moves lists of numbers and texts in and out of a FIT file: an opening
// line with the version, each list with its length before it, a check sum at the end.
//
// In: a writer or reader, and one function that names every value of what is kept, in
// order; it serves both ways, so that reading cannot drift from writing. Out: the file,
// or the values. It knows nothing of what the numbers mean: whoever reads checks that.
//
// It refuses a file of another kind or version, one that is cut short, and one whose
// check sum is wrong (ErrNot). It never allocates more than what has arrived, however
// long a list says it is.
//
// Read Write first, then Coder.
package fitfile
