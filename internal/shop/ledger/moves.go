package ledger

import (
	"github.com/govalues/decimal"

	"midcase/money"
)

// StockMove is one row of the stock book by movement: a watch bought, sold, allowed for, taken back, or any
// of these reversed. Amounts are in the shop's currency. What the rows of a month add up to are its VAT
// figures.
type StockMove struct {
	Number   int             `json:"number"` // from 1, in the order of booking
	Day      string          `json:"day"`
	Watch    string          `json:"watch"`
	What     Kind            `json:"what"`
	Sale     bool            `json:"sale"` // of the selling side
	Party    string          `json:"party,omitempty"`
	Document string          `json:"document,omitempty"`
	Scheme   string          `json:"scheme"` // of this movement; a consigned sale is of the ordinary one, on the commission
	Consign  bool            `json:"consigned,omitempty"`
	Price    money.Money     `json:"price"`
	Original money.Money     `json:"price_original,omitzero"`
	Margin   money.Money     `json:"margin,omitzero"`
	Rate     decimal.Decimal `json:"tax_rate,omitzero"`
	Tax      money.Money     `json:"tax,omitzero"` // due on a sale, to reclaim on a purchase
	Corrects string          `json:"corrects,omitempty"`
	Entry    string          `json:"entry"`
	Of       string          `json:"of"` // the entry of the sale or purchase that it belongs to
}

func (b *Books) move(e Entry) {
	g := e.Goods
	if g == nil || e.Watch == "" {
		return
	}
	m := StockMove{Day: e.Day, Watch: e.Watch, What: e.Kind, Sale: g.Sold, Party: e.Party, Document: e.Document,
		Scheme: g.Scheme, Consign: g.Consign, Price: g.Price, Original: g.Original, Margin: g.Margin, Rate: g.Rate, Tax: g.Tax,
		Corrects: e.Corrects, Entry: e.ID, Of: e.ID}
	switch {
	case e.Reverses != "":
		m.Of = e.Reverses
	case e.Refunds != "":
		m.Of = e.Refunds
	}
	b.moves = append(b.moves, m)
}

// StockMoves lists the movements of the stock book in the order of booking.
func (b *Books) StockMoves() []StockMove {
	out := append([]StockMove(nil), b.moves...)
	for i := range out {
		out[i].Number = i + 1
	}
	return out
}
