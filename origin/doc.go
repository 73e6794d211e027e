// Package origin tells when a watch was made and which of its parts left the
// factory with it, by one exact model of both.
//
// What goes in: a Subject, which is the production span of the reference, the
// marks, papers and archive extracts with what they say about the date, and the
// slots with the variants that the reference book knows and the one that was seen.
// What comes out: the probability of each month, the chance that each part is
// original, and for every item how surprising it is beside all the others.
//
// It refuses to guess a missing production span, to let one item rule out a month
// for good, and to judge hard rules (a bracelet that cannot fit): those are no
// matter of chance and belong to the caller. A swapped part from the right years
// cannot be told from the first one, and the result says so by a chance near the
// one before looking.
//
// Method: Bayes' rule summed exactly over a grid of months; each slot is a mixture
// of "original" and "replaced". The serial curve is the monotone cubic of Fritsch
// and Butland (1984). See docs/methods/origin.md.
//
// Read Infer first, then ExpectedGain. Nothing here changes its arguments.
package origin
