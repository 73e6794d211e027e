// Package typed says what text a shop takes in: how long it may be and which characters it may hold.
//
// In goes what somebody typed, pasted or sent, alone (Line, Text) or in a record (Check); out comes what is wrong
// with it. What is kept cannot always be taken back, so it is looked at before it is kept. Names, titles and marks
// are lines, everything that has room for more is a text. NUL and other control characters are refused because
// databases, printers and terminals each make something else of them; characters that turn the direction of writing
// because with them a name reads as another one.
//
// JSON refuses an object that names a field twice, of which readers keep different ones. Cell and
// Sheet keep a spreadsheet from computing what is meant to be read.
//
// The package refuses nothing for its meaning: whether a name is a name is for its callers. Read Check first.
package typed
