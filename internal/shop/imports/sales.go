package imports

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
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
		cells, err := saleCells(columns, row.Fields)
		if err != nil {
			return fmt.Errorf("import %s: line %d: %w", p.file.Name, row.Line, err)
		}
		if err := w.Write(cells); err != nil {
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
	for i := range table.Len() {
		sale := table.At(i)
		if n := sale.Line - 2; n >= 0 && n < len(rows) {
			sale.Line = rows[n].Line
		}
		p.settled[sale.Line] = true
		_, err := p.stores.Sales.Sale(ctx, sale.ID)
		switch {
		case err == nil:
			p.batch.Repeated++
		case errors.Is(err, shop.ErrNotFound):
			p.step.Import.Sales = append(p.step.Import.Sales, sale)
			p.batch.Sales = append(p.batch.Sales, sale.ID)
		default:
			return fmt.Errorf("import %s: %w", p.file.Name, err)
		}
	}
	return nil
}

// saleCells writes the fields of a row as the cells of a sales file. A year or a grade that is not exact stays
// out, since the rest of the sale counts without it.
func saleCells(columns []string, fields map[string]any) ([]string, error) {
	plain, err := plainFields(fields)
	if err != nil {
		return nil, err
	}
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
	return out, nil
}

// plainFields are fields as text; an amount of money gives the field and its currency, as NAME.currency.
func plainFields(fields map[string]any) (map[string]string, error) {
	b, err := json.Marshal(fields)
	if err != nil {
		return nil, err
	}
	var all map[string]json.RawMessage
	if err := json.Unmarshal(b, &all); err != nil {
		return nil, err
	}
	out := make(map[string]string, len(all))
	for name, raw := range all {
		var m struct{ Amount, Currency string }
		switch {
		case raw[0] == '{' && json.Unmarshal(raw, &m) == nil:
			out[name], out[name+".currency"] = m.Amount, m.Currency
		case raw[0] == '"':
			var s string
			if err := json.Unmarshal(raw, &s); err != nil {
				return nil, err
			}
			out[name] = s
		default:
			out[name] = string(raw)
		}
	}
	return out, nil
}
