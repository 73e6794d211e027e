package imports

import (
	"bytes"
	"context"
	"fmt"
	"strconv"
	"strings"

	"midcase/internal/shop"
	"midcase/market"
	"midcase/tables"
	"midcase/typed"
)

// sales plans the sales of a file, by way of a sales file in the program's own layout, so that a sale has the same id
// whichever way it came in.
func (p *planned) sales(ctx context.Context) error { return p.addSales(ctx, p.rows) }

func (p *planned) addSales(ctx context.Context, rows []tables.Row) error {
	var b bytes.Buffer
	w := typed.NewSheet(&b)
	columns := shop.SaleColumns()
	if err := w.Write(columns); err != nil {
		return err
	}
	for _, row := range rows {
		if err := w.Write(saleCells(columns, row)); err != nil {
			return err
		}
	}
	w.Flush()
	if len(rows) == 0 {
		return nil
	}
	table, bad, err := market.ReadCSV(&b, p.file.Name, market.ReadOptions{Now: p.shop.Now()})
	if err != nil {
		return fmt.Errorf("import %s: %w", p.file.Name, err)
	}
	for _, e := range bad {
		line := e.Line
		if i := e.Line - 2; i >= 0 && i < len(rows) {
			line = rows[i].Line
		}
		p.out(line, e.Field, e.Found, "not "+e.Want)
	}
	return p.newSales(ctx, table, rows)
}

// newSales are the sales of a table that are not on record yet.
func (p *planned) newSales(ctx context.Context, table *market.Table, rows []tables.Row) error {
	ids := make([]string, table.Len())
	for i := range ids {
		ids[i] = table.At(i).ID
	}
	there, err := p.stores.Sales.SalesThere(ctx, ids)
	if err != nil {
		return fmt.Errorf("import %s: %w", p.file.Name, err)
	}
	for i := range table.Len() {
		sale := table.At(i)
		if n := sale.Line - 2; n >= 0 && n < len(rows) {
			sale.Line = rows[n].Line
		}
		p.settled[sale.Line] = true
		if there[sale.ID] {
			p.batch.Repeated++
			continue
		}
		p.step.Import.Sales = append(p.step.Import.Sales, sale)
		p.batch.Sales = append(p.batch.Sales, sale.ID)
	}
	return nil
}

// saleCells writes the fields of a row as the cells of a sales file. A year or a grade that is not exact stays
// out, since the rest of the sale counts without it.
func saleCells(columns []string, row tables.Row) []string {
	plain := row.Plain()
	out := make([]string, len(columns))
	for i, c := range columns {
		out[i] = plain[c]
		switch c {
		case "year":
			out[i] = strings.TrimSuffix(out[i], "~")
			if _, err := strconv.Atoi(out[i]); err != nil {
				out[i] = ""
			}
		case "condition", "originality":
			if _, err := strconv.ParseFloat(out[i], 64); err != nil {
				out[i] = ""
			}
		}
	}
	return out
}
