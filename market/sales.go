package market

import (
	"io"

	"midcase/market/table"
)

// The sales that a model is fitted to. Package table holds and reads them; they are
// named here too, so that who fits and values needs one import.
type (
	Table       = table.Table
	Sale        = table.Sale
	RowError    = table.RowError
	ReadOptions = table.ReadOptions
)

// Errors of package table that callers ask for.
var (
	ErrDuplicate = table.ErrDuplicate
	ErrNotSales  = table.ErrNotSales
)

// NewTable makes a table of sales; see table.NewTable.
func NewTable(sales []Sale) (*Table, error) { return table.NewTable(sales) }

// ReadCSV reads a sales file; see table.ReadCSV.
func ReadCSV(r io.Reader, name string, opt ...ReadOptions) (*Table, []RowError, error) {
	return table.ReadCSV(r, name, opt...)
}
