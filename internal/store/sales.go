package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/market"
	"midcase/money"
)

// saleColumns and saleBatch: how many values a sale has, and how many sales go into
// one statement (SQLite takes at most 32,766 values).
const (
	saleColumns = 5
	saleBatch   = 50
)

// AddSales implements shop.SaleStore, all or none. The price is kept as the decimal
// text that it is.
func (s *Store) AddSales(ctx context.Context, sales []market.Sale, at time.Time) (added int, err error) {
	args := make([]any, 0, saleColumns*len(sales))
	for i, sale := range sales {
		row, err := saleRow(sale)
		if err != nil {
			return 0, fmt.Errorf("add sales: sale %d (%s): %w", i, sale.ID, err)
		}
		args = append(args, row...)
	}
	err = s.change(ctx, "add sales", func(tx *transaction) error {
		if added, err = insertSales(ctx, tx, args, nil); err != nil || added == 0 {
			return err
		}
		if err := advance(ctx, tx, partSales); err != nil {
			return err
		}
		return setSetting(ctx, tx, salesImportedName, at.UTC().Format(time.RFC3339Nano))
	})
	if err != nil {
		return 0, err
	}
	return added, nil
}

// keepOwnSale puts the shop's own sale of a watch in the place of the one that there was.
func keepOwnSale(ctx context.Context, tx *transaction, own shop.OwnSale) error {
	if _, err := tx.ExecContext(ctx, `DELETE FROM sales WHERE id = $1`, plain(own.ID)); err != nil {
		return err
	}
	if own.Sale != nil {
		row, err := saleRow(*own.Sale)
		if err != nil {
			return err
		}
		if _, err := insertSales(ctx, tx, row, nil); err != nil {
			return err
		}
	}
	return advance(ctx, tx, partSales)
}

// salesImportedName is the setting that says when sales were last added.
const salesImportedName = "sales imported"

// SalesImported implements shop.SaleStore.
func (s *Store) SalesImported(ctx context.Context) (time.Time, error) {
	text, err := s.Setting(ctx, salesImportedName)
	if errors.Is(err, shop.ErrNotFound) {
		return time.Time{}, nil
	}
	if err != nil {
		return time.Time{}, fmt.Errorf("last import of sales: %w", err)
	}
	at, err := time.Parse(time.RFC3339Nano, text)
	if err != nil {
		return time.Time{}, fmt.Errorf("last import of sales: %w", err)
	}
	return at, nil
}

func saleRow(sale market.Sale) ([]any, error) {
	if err := checkKey("sale", sale.ID); err != nil {
		return nil, err
	}
	if err := checkText("date", sale.Date); err != nil {
		return nil, err
	}
	var amount string
	if !sale.Price.IsZero() {
		amount = sale.Price.Decimal().String()
	}
	currency := string(sale.Price.Currency())
	sale.Price = money.Money{} // has its own columns
	doc, err := json.Marshal(sale)
	if err != nil {
		return nil, err
	}
	return []any{sale.ID, sale.Date, amount, currency, string(doc)}, nil
}

func insertSales(ctx context.Context, tx *transaction, args []any, written func(sales int)) (added int, err error) {
	const full = saleColumns * saleBatch
	var prepared *sql.Stmt
	if len(args) >= full {
		if prepared, err = tx.PrepareContext(ctx, insertSalesSQL(saleBatch)); err != nil {
			return 0, err
		}
		defer prepared.Close()
	}
	for len(args) > 0 {
		var result sql.Result
		n := min(full, len(args))
		if n == full {
			result, err = prepared.ExecContext(ctx, args[:n]...)
		} else {
			result, err = tx.ExecContext(ctx, insertSalesSQL(n/saleColumns), args[:n]...)
		}
		if err != nil {
			return 0, err
		}
		rows, err := result.RowsAffected()
		if err != nil {
			return 0, err
		}
		added += int(rows)
		if written != nil {
			written(added)
		}
		args = args[n:]
	}
	return added, nil
}

func insertSalesSQL(rows int) string {
	var b strings.Builder
	b.WriteString(`INSERT INTO sales (id, date, amount, currency, doc) VALUES `)
	for i := range rows {
		if i > 0 {
			b.WriteByte(',')
		}
		n := saleColumns * i
		fmt.Fprintf(&b, "($%d,$%d,$%d,$%d,$%d)", n+1, n+2, n+3, n+4, n+5)
	}
	b.WriteString(` ON CONFLICT (id) DO NOTHING`)
	return b.String()
}

// Sales implements shop.SaleStore: by date as text, then by id. It sees the sales of
// the moment at which it began; the loop may change the store.
func (s *Store) Sales(ctx context.Context) iter.Seq2[market.Sale, error] {
	return s.saleRows(ctx, `SELECT amount, currency, doc FROM sales ORDER BY date, id`)
}

// SalesAfter implements shop.SaleStore. A word that JSON might write otherwise, or
// that the two engines might fold otherwise, narrows nothing.
func (s *Store) SalesAfter(ctx context.Context, after shop.SalePlace, words []string) iter.Seq2[market.Sale, error] {
	query, joint := `SELECT amount, currency, doc FROM sales`, " WHERE "
	var args []any
	if after != (shop.SalePlace{}) {
		args = append(args, plain(after.Date), plain(after.ID))
		query, joint = query+" WHERE (date < $1 OR date = $1 AND id < $2)", " AND "
	}
	for _, w := range words {
		if !plainWord(w) {
			continue
		}
		args = append(args, "%"+strings.ToLower(w)+"%")
		query += fmt.Sprintf("%slower(doc) LIKE $%d", joint, len(args))
		joint = " AND "
	}
	return s.saleRows(ctx, query+` ORDER BY date DESC, id DESC`, args...)
}

// plainWord reports whether a word is letters and figures of ASCII, points and hyphens.
func plainWord(w string) bool {
	return w != "" && strings.Trim(strings.ToLower(w), "abcdefghijklmnopqrstuvwxyz0123456789.-") == ""
}

func (s *Store) saleRows(ctx context.Context, query string, args ...any) iter.Seq2[market.Sale, error] {
	return func(yield func(market.Sale, error) bool) {
		rows, err := s.read.QueryContext(ctx, query, args...)
		if err != nil {
			yield(market.Sale{}, fmt.Errorf("sales: %w", err))
			return
		}
		defer rows.Close()
		for rows.Next() {
			sale, err := scanSale(rows)
			if err == nil {
				err = ctx.Err()
			}
			if err != nil {
				yield(market.Sale{}, fmt.Errorf("sales: %w", err))
				return
			}
			if !yield(sale, nil) {
				return
			}
		}
		if err := rows.Err(); err != nil {
			yield(market.Sale{}, fmt.Errorf("sales: %w", err))
		}
	}
}

// Sale implements shop.SaleStore.
func (s *Store) Sale(ctx context.Context, id string) (market.Sale, error) {
	sale, err := scanSale(s.read.QueryRowContext(ctx, `SELECT amount, currency, doc FROM sales WHERE id = $1`, plain(id)))
	if err != nil {
		return market.Sale{}, fmt.Errorf("sale %s: %w", id, found(err))
	}
	return sale, nil
}

// idsAtOnce is how many ids one query asks for.
const idsAtOnce = 500

// SalesThere implements shop.SaleStore.
func (s *Store) SalesThere(ctx context.Context, ids []string) (map[string]bool, error) {
	out := map[string]bool{}
	if len(ids) > idsAtOnce { // a shop without sales is asked once
		some, err := docs(ctx, s.read, "sales", func(id []byte) (string, error) { return string(id), nil },
			`SELECT id FROM sales LIMIT 1`)
		if err != nil || len(some) == 0 {
			return out, err
		}
	}
	for some := range slices.Chunk(ids, idsAtOnce) {
		args := make([]any, len(some))
		places := make([]string, len(some))
		for i, id := range some {
			args[i], places[i] = plain(id), "$"+strconv.Itoa(i+1)
		}
		found, err := docs(ctx, s.read, "sales", func(id []byte) (string, error) { return string(id), nil },
			`SELECT id FROM sales WHERE id IN (`+strings.Join(places, ",")+`)`, args...)
		if err != nil {
			return nil, err
		}
		for _, id := range found {
			out[id] = true
		}
	}
	return out, nil
}

func scanSale(row interface{ Scan(...any) error }) (market.Sale, error) {
	var amount, currency string
	var doc []byte
	if err := row.Scan(&amount, &currency, &doc); err != nil {
		return market.Sale{}, err
	}
	var sale market.Sale
	if err := json.Unmarshal(doc, &sale); err != nil {
		return market.Sale{}, err
	}
	if currency == "" {
		return sale, nil
	}
	price, err := money.Parse(amount, currency)
	if err != nil {
		return market.Sale{}, fmt.Errorf("sale %s: price: %w", sale.ID, err)
	}
	sale.Price = price
	return sale, nil
}

// SaleCount implements shop.SaleStore.
func (s *Store) SaleCount(ctx context.Context) (int, error) {
	var n int
	if err := s.read.QueryRowContext(ctx, `SELECT COUNT(*) FROM sales`).Scan(&n); err != nil {
		return 0, fmt.Errorf("count sales: %w", err)
	}
	return n, nil
}
