// Package table reads sales files and holds sales by column, about 120 bytes a sale.
//
// In: a CSV in UTF-8 with a header row (ReadCSV, ReadUnpriced), or sales made in code
// (NewTable, Append). Out: a Table, whose rows are added and never changed, and for each
// row that is not acceptable a RowError with line, field, what was found and what would
// be right. A sale that is there already is left out and reported, so that a file
// imported twice adds nothing.
//
// It refuses a file without the columns date, maker, reference, price and currency
// (ErrNotSales), and any value that could be read two ways. It knows nothing of what a
// sale says about a price; package market does.
//
// Read ReadCSV first, then Table.
package table
