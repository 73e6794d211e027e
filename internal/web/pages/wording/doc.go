// Package wording turns figures and states into the words that all pages use, as the
// reader of a request writes them.
//
// What goes in: a request's context, which With has given its Reading, and a figure,
// an amount, a day or a state. What comes out: text. Of the zero amount or of a figure
// that is not there it makes a dash. Read ReaderOf first.
package wording
