// Package gate holds an entry against the reference book and the file before it is
// recorded, and says what is odd about it: a size with its decimal point in the wrong
// place, a number far beyond the maker's run, a metal the reference never had.
//
// In go one item's data, the book's entries and the file as it stands; out come doubts,
// each a statement and, where one is near, the value that was probably meant. It refuses
// nothing: whoever records may keep the entry all the same and say why. What is
// unusual and still possible raises no doubt, such as a case polished by a millimetre.
//
// Read Doubts first.
package gate
