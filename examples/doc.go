// Package examples learns from watches that were seen: it reads them from tables and watch files, dates each by what
// is not the part in question (number, papers, extract), and holds what they show against the reference book.
//
// In come examples and a book; out come, by slot, when each version gave way to the next, where the book says
// otherwise, which examples sit badly, and what kind of example would tell most. Nothing is changed: what is learned
// is a proposal. It refuses examples without a date and those that two runs of numbers claim, each with its reason.
// Read Learn first; how a boundary is found stands in refbook.Learn and docs/methods/windows.md.
package examples
