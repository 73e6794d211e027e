// Package workbook reads the cells of XLSX workbooks (ECMA-376) as text, row by row, in
// little memory: only the parts that hold cells are unpacked, each as a stream, and never
// more of them than a bound. Pictures, macros, links to other files and formulas are not
// looked at; a formula counts with the value that was saved with it.
//
// A number that is shown as a day becomes that day (ISO 8601), by the day from which the
// workbook counts. Cells with an error keep its mark (#REF!), and a formula whose value
// the file does not hold keeps its text.
//
// Read first: Open.
package workbook
