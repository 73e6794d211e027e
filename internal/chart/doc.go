// Package chart computes the drawings that pages and papers show: when a watch was
// made, which sales its value stands beside, its parts, its rate by position, the beats
// of a recording.
//
// What goes in: parts of an opinion, a Format and a say.Writer for words and figures.
// What comes out: a Drawing, which is lines, shapes and short texts in units of its
// own. Drawing.Render writes it as SVG for a page; internal/document draws the same
// marks on paper. A style names what a mark is, never its colour: the style sheet of
// the pages and the pens of the paper each know every style. A figure that is no number
// is left out of the drawing. Read Dates and Drawing first.
package chart
