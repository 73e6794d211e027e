package v1

import (
	"context"
	"encoding/json"
	"strings"

	"midcase/client"
	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/rights"
	"midcase/market"
	"midcase/money"
)

func amount(m money.Money) *client.Money {
	if m.IsZero() && m.Currency() == "" {
		return nil
	}
	return &client.Money{Amount: m.Amount(), Currency: string(m.Currency())}
}

func dateText(d edtf.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

// watchOf is a watch as whoever asks may see it.
func watchOf(ctx context.Context, w shop.Watch) client.Watch {
	w = shop.SeenWatch(ctx, w)
	return client.Watch{ID: string(w.ID), Number: w.Number, Title: w.Title, Maker: w.Maker, Reference: w.Reference,
		Serial: w.Serial, State: string(w.State), Place: w.Place, Cost: amount(w.Cost), Asked: amount(w.Asked),
		Asking: amount(w.Asking), Acquired: dateText(w.Acquired), Client: w.Client, Holder: w.Holder,
		Owned: string(w.Owned), Due: dateText(w.Due), PrivateTo: dateText(w.PrivateTo), Note: w.Note,
		Created: w.Created, Changed: w.Changed, Version: w.Version}
}

func lineOf(ctx context.Context, b desk.Brief, currency money.Currency) client.StockLine {
	l := client.StockLine{Watch: watchOf(ctx, b.Watch), Made: b.Made, Grade: b.Grade, Items: b.Items,
		Troubles: b.Troubles, Problem: b.Problem, Forming: b.Forming}
	if b.Median != nil {
		l.Value = &client.Estimate{Median: *b.Median, Interval: [2]float64{b.Low, b.High}, Currency: string(currency)}
	}
	if rights.May(ctx, rights.Cost) {
		l.Profit = b.Profit
	}
	return l
}

// itemOf is an item of evidence by way of its own JSON form, which is the one of the watch file.
func itemOf(it evidence.Item) (out client.Item, err error) {
	b, err := json.Marshal(it)
	if err != nil {
		return out, err
	}
	return out, json.Unmarshal(b, &out)
}

func saleOf(s market.Sale) client.Sale {
	return client.Sale{ID: s.ID, Date: s.Date, Maker: s.Maker, Reference: s.Reference,
		Price:  client.Money{Amount: s.Price.Amount(), Currency: string(s.Price.Currency())},
		Family: s.Family, Metal: s.Metal, Dial: s.Dial, Year: s.Year, Condition: s.Condition,
		Completeness: s.Completeness, Originality: s.Originality, Country: s.Country, Venue: s.Venue, Basis: s.Basis,
		Serial: s.Serial, Source: s.Source, Note: s.Note}
}

func clientOf(c shop.Client) client.Client {
	out := client.Client{ID: c.ID, Name: c.Name, Kind: c.Kind, Email: c.Email, Phone: c.Phone, Country: c.Country,
		Language: c.Language, Note: c.Note, CallFirst: c.CallFirst, Created: c.Created, Changed: c.Changed,
		Version: c.Version}
	if out.Kind == "" {
		out.Kind = "person"
	}
	if c.Address != (shop.Address{}) {
		a := client.Address(c.Address)
		out.Address = &a
	}
	return out
}

func paperOf(ctx context.Context, p shop.Paper) client.Paper {
	out := client.Paper{ID: p.ID, Kind: string(p.Kind), Number: p.Number, Watch: string(p.Watch), Title: p.Title,
		Day: p.Day, At: p.At, By: p.By, Total: amount(p.Total), Files: []client.PaperFile{}}
	if shop.SeesNames(ctx) {
		out.Client = p.Client
	}
	for _, f := range p.Files {
		out.Files = append(out.Files, client.PaperFile{Ending: f.Ending, SHA256: f.SHA256, Size: f.Size})
	}
	return out
}

// moneyOf reads an amount; field is where it stood.
func moneyOf(m client.Money, what, field string) (money.Money, error) {
	v, err := money.Parse(m.Amount, strings.ToUpper(m.Currency))
	if err != nil {
		return v, shop.Refuse(what, field, m.Amount+" "+m.Currency, "an amount such as 9500.00 with a currency such as EUR")
	}
	return v, nil
}
