// Package lettering makes of what a reader of print saw in a picture of a watch proposals of marks: a number, a
// calibre, a stamp, a hallmark.
//
// In go lines of words with the chance that each was read right and what the entry is held against (gate.Known: book
// and file). Out come marks as they would be recorded, each with what the file and the book say to it. Letters that
// worn stamps make of figures are read as figures where a number is meant. Nothing is recorded by it, and a mark is
// never completed from what was expected: what differs is said.
//
// Read Propose first.
package lettering
