// Package library is the room in which the reference book is edited: a file is checked with the whole
// book, written with who, when and why, and every version of it stays.
//
// In go texts of files; out come versions, the problems of a text with file and line, and the watches
// on which a changed book would give another opinion. It refuses a text with which the book would not
// load, a change without a reason, and one that was made of a text that somebody else has replaced.
// The book that is used is read by package shop.
//
// Read Room.SaveBookFile first.
package library
