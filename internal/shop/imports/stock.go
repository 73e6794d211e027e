package imports

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/money"
	"midcase/tables"
)

// stock plans the watches of a stock list, each with its past.
func (p *planned) stock(ctx context.Context) error {
	there, err := p.shop.StockList(ctx)
	if err != nil {
		return err
	}
	people := p.sellers()
	scheme, err := p.scheme(ctx)
	if err != nil {
		return err
	}
	if p.holder, err = p.intake.Holder(ctx); err != nil {
		return err
	}
	rows, known, err := p.known(ctx, there)
	if err != nil {
		return err
	}
	untold, err := p.untold(ctx, known)
	if err != nil {
		return err
	}
	var sold []tables.Row
	for i, row := range p.rows {
		w := rows[i]
		if s, ok := soldRow(row); ok && (known[i] == nil || untold[known[i].ID]) {
			sold = append(sold, s)
		}
		if known[i] != nil {
			if err := p.there(ctx, *known[i], w, row); err != nil {
				return err
			}
			continue
		}
		if w.Maker == "" || w.Reference == "" {
			p.out(row.Line, "reference", strings.TrimSpace(w.Maker+" "+w.Reference), "maker and reference are needed")
			continue
		}
		items := p.items(w, row)
		if p.odd(w, items, row) {
			sold = slices.DeleteFunc(sold, func(s tables.Row) bool { return s.Line == row.Line })
			continue
		}
		p.holder.Opens(w)
		p.settled[row.Line] = true
		if err := people.of(ctx, &w, row); err != nil {
			return err
		}
		p.step.Import.Watches = append(p.step.Import.Watches, shop.NewWatch{Watch: w, Items: items})
		p.batch.Watches = append(p.batch.Watches, w.ID)
		if err := p.past(ctx, w, row.Line, scheme); err != nil {
			return err
		}
	}
	p.askOdd()
	p.askThere()
	return p.pastSales(ctx, sold)
}

// known are the watches of the rows, and those of the shop that they are about.
func (p *planned) known(ctx context.Context, there []shop.Watch) (rows []shop.Watch, known []*shop.Watch, err error) {
	if p.again, err = p.broughtBefore(ctx); err != nil {
		return nil, nil, err
	}
	rows = make([]shop.Watch, len(p.rows))
	for i, row := range p.rows {
		rows[i] = p.watch(ctx, row)
	}
	return rows, watchesOf(there).match(rows), nil
}

// untold are those of the watches that the shop has as sold without a sale of its own, as a list brought them in: the
// sale may be told by a list, too.
func (p *planned) untold(ctx context.Context, known []*shop.Watch) (map[shop.WatchID]bool, error) {
	var ids []string
	for _, w := range known {
		if w != nil && w.State == shop.Sold {
			ids = append(ids, shop.OwnSaleID(w.ID))
		}
	}
	there, err := p.stores.Sales.SalesThere(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("import %s: %w", p.file.Name, err)
	}
	out := map[shop.WatchID]bool{}
	for _, w := range known {
		if w != nil && w.State == shop.Sold && !there[shop.OwnSaleID(w.ID)] {
			out[w.ID] = true
		}
	}
	return out, nil
}

// soldRow is the sale that a row of a stock list tells of: one with its day and its price.
func soldRow(row tables.Row) (tables.Row, bool) {
	f := row.Fields
	if f["sold"] == nil || f["sold_for"] == nil {
		return tables.Row{}, false
	}
	out := tables.Row{Line: row.Line, Fields: map[string]any{"date": f["sold"], "price": f["sold_for"],
		"venue": "dealer", "basis": "sold"}}
	for _, field := range []string{"maker", "reference", "serial", "year", "completeness"} {
		if f[field] != nil {
			out.Fields[field] = f[field]
		}
	}
	out.Fields["currency"] = out.Plain()["price.currency"]
	return out, true
}

// pastSales puts the shop's own past sales on record. They count for values; nothing is
// booked, since they belong to years before the books began.
func (p *planned) pastSales(ctx context.Context, sold []tables.Row) error {
	if len(sold) == 0 {
		return nil
	}
	repeated := p.batch.Repeated
	err := p.addSales(ctx, sold)
	p.batch.Repeated = repeated // the watch counts, not its sale
	return err
}

// watch is the record of a row.
func (p *planned) watch(ctx context.Context, row tables.Row) shop.Watch {
	f := row.Plain()
	now := p.shop.Now()
	w := shop.Watch{ID: shop.WatchID(p.shop.NewID("w")), Maker: f["maker"], Reference: f["reference"],
		Serial: f["serial"], State: shop.State(f["state"]), Place: f["place"], Note: f["note"], Created: now,
		Changed: now}
	if w.State == "" {
		w.State = shop.Bought
	}
	if m, ref, ok := p.shop.Book(ctx).Reference(w.Maker, w.Reference); ok {
		w.Maker, w.Reference = m.Name, ref.ID
		w.Title = strings.TrimSpace(m.Name + " " + ref.ID + " " + ref.Name)
	} else {
		w.Title = strings.TrimSpace(w.Maker + " " + w.Reference)
	}
	w.Note = noted(f)
	switch w.State {
	case shop.Consigned:
		w.Owned = shop.OfOthers
	case shop.Offered:
	default:
		w.Owned = shop.Own
	}
	w.Cost, w.Asking = p.amount(f, "cost", row.Line), p.amount(f, "asking", row.Line)
	if w.State == shop.Offered {
		w.Asked, w.Asking = w.Asking, money.Money{}
	}
	if d, err := edtf.Parse(f["bought"]); err == nil {
		if first, ok := d.First(); !ok || !first.After(now) {
			w.Acquired = d
		} else {
			p.says(row.Line, "bought on %s, which is in the future; the day was left out.", f["bought"])
		}
	}
	return w
}

func (p *planned) amount(f map[string]string, field string, line int) money.Money {
	if f[field] == "" {
		return money.Money{}
	}
	m, err := money.Parse(f[field], f[field+".currency"])
	if err != nil || m.Sign() <= 0 {
		p.says(line, "%s %s %s was left out.", field, f[field], f[field+".currency"])
		return money.Money{}
	}
	return m
}

// items is the evidence of a row: the serial number, what the list claims, and what its notes find. Each cites its row.
func (p *planned) items(w shop.Watch, row tables.Row) []evidence.Item {
	var data []evidence.Data
	if w.Serial != "" {
		data = append(data, &evidence.Mark{What: evidence.MarkSerial, Text: w.Serial})
	}
	claim := func(about, text string, told evidence.Told) {
		data = append(data, &evidence.Claim{About: about, Text: text, From: p.where(row.Line), Told: told})
	}
	f := row.Plain()
	if y, err := strconv.Atoi(strings.TrimSuffix(f["year"], "~")); err == nil {
		claim("year", "made in "+f["year"], evidence.Told{Year: y})
	} else if f["year"] != "" {
		claim("year", "made in "+f["year"], evidence.Told{})
	}
	if c := f["completeness"]; c != "" {
		claim("set", c, evidence.Told{Set: setTold[c]})
	}
	if !w.Asked.IsZero() {
		data = append(data, &evidence.Claim{About: "price", Text: "asks " + w.Asked.String(), From: p.where(row.Line),
			Price: w.Asked})
	}
	words := map[evidence.Data]string{}
	for _, it := range row.Items {
		if len(it.Open) > 0 { // what the notes do not say is not made up; the words stay in the note
			p.says(row.Line, "“%s” is kept as a note: say the %s.", it.Text, strings.Join(it.Open, ", "))
			continue
		}
		data = append(data, it.Data)
		words[it.Data] = it.Text
	}
	var out []evidence.Item
	for _, d := range data {
		made, err := p.shop.NewItems("import", cmp.Or(p.by, "preview"), []evidence.Data{d})
		if err != nil {
			p.says(row.Line, "%s was left out: %v.", d.Kind(), err)
			continue
		}
		made[0].Note = p.where(row.Line)
		if t := words[d]; t != "" {
			made[0].Note += ": “" + t + "”"
		}
		out = append(out, made...)
	}
	return out
}

// setTold is how the counter names what a list says comes with a watch.
var setTold = map[string]string{"watch": "watch", "papers": "papers", "full": "full", "box and papers": "full"}

// past books what a watch cost as an opening entry, and notes in which state the list has it.
func (p *planned) past(ctx context.Context, w shop.Watch, line int, scheme string) error {
	now := p.shop.Now()
	m := shop.Movement{ID: p.shop.NewID("m"), Watch: w.ID, To: w.State, Day: now.Format(time.DateOnly), At: now,
		By: p.by, Owned: w.Owned, Person: w.Client, Price: w.Cost, Note: p.where(line),
		Before: shop.Snapshot{State: shop.Offered}}
	defer func() { p.step.Movements = append(p.step.Movements, m) }()
	switch {
	case w.State == shop.Offered:
		return nil
	case w.State == shop.Sold:
		p.says(line, "sold before the books began: nothing was booked.")
		return nil
	case w.State == shop.Consigned:
		p.says(line, "consigned: enter its terms on the page of the watch; nothing was booked.")
		return nil
	case w.Cost.IsZero():
		p.says(line, "without a price paid: nothing was booked.")
		return nil
	}
	e, ok, err := p.opening(ctx, w, p.where(line), scheme, p.by)
	if err != nil {
		return fmt.Errorf("import %s: line %d: %w", p.file.Name, line, err)
	}
	if !ok {
		p.says(line, "no exchange rate from %s to %s on %s: the purchase is booked once you give one.",
			w.Cost.Currency(), p.shop.Currency(), p.boughtOn(w))
		p.batch.Unbooked = append(p.batch.Unbooked, w.ID)
		return nil
	}
	m.Day, m.Entries = e.Day, []string{e.ID}
	p.step.Entries = append(p.step.Entries, e)
	return nil
}
