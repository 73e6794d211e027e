// Package tables reads the tables that dealers have: stock lists, records of sales, lists
// of clients and of serial numbers, as CSV with any separator, TSV or XLSX. It finds
// encoding, separator and header row, understands columns by their header (English,
// German, French, Italian) and by what stands in them, and reads days, amounts of money,
// states and completeness in the styles in which people write them. It returns
// proposals with the line each stands in, what it kept out and why, rows that repeat
// another, and questions that only a person can answer, grouped.
//
// It records nothing. What nobody can know (a currency, the order of day and month) is
// asked, never guessed; a cell that cannot be read is kept out by name.
//
// The separator is found by the consistency of what it makes of the file, after van den
// Burg, Nazábal and Sutton, Data Mining and Knowledge Discovery 33 (2019), 1799–1820;
// header, body and totals by the words and types of rows, after Christodoulakis, Munson,
// Gabel, Brown and Miller (Pytheas), PVLDB 13 (2020), 2075–2089.
//
// Read first: Read.
package tables
