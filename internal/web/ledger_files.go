package web

import (
	"bytes"
	"io"
	"net/http"
	"strconv"

	"midcase/internal/shop/ledger"
	"midcase/money"
	"midcase/typed"
)

// fileRoutes serves what can be taken away from the ledger.
func (s *ledgerPages) fileRoutes(mux *http.ServeMux) {
	mux.Handle("GET /ledger/journal.csv", s.page(func(w http.ResponseWriter, r *http.Request) error {
		return sendFile(w, "journal.csv", "text/csv; charset=utf-8",
			func(out io.Writer) error { return s.shop.Accounts.WriteLedgerCSV(r.Context(), out) })
	}))
	mux.Handle("GET /ledger/journal.txt", s.page(func(w http.ResponseWriter, r *http.Request) error {
		return sendFile(w, "journal.txt", "text/plain; charset=utf-8",
			func(out io.Writer) error { return s.shop.Accounts.WriteJournal(r.Context(), out) })
	}))
	mux.Handle("GET /ledger/balance.csv", s.page(s.balanceCSV))
	mux.Handle("GET /ledger/stock-book.csv", s.page(s.stockBookCSV))
	mux.Handle("GET /ledger/vat.csv", s.page(s.vatCSV))
	mux.Handle("GET /ledger/profit.csv", s.page(s.profitCSV))
	mux.Handle("GET /ledger/return.csv", s.page(s.returnCSV))
	mux.Handle("GET /ledger/opening.csv", s.page(s.openingCSV))
}

// sendFile makes a whole file before it sends any of it, so that one that fails is not taken for
// whole.
func sendFile(w http.ResponseWriter, name, media string, write func(io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	w.Header().Set("Content-Type", media)
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	_, err := w.Write(b.Bytes())
	return err
}

func sendRows(w http.ResponseWriter, name string, rows [][]string) error {
	return sendFile(w, name, "text/csv; charset=utf-8", func(out io.Writer) error {
		return typed.NewSheet(out).WriteAll(rows)
	})
}

func (s *ledgerPages) balanceCSV(w http.ResponseWriter, r *http.Request) error {
	rows := [][]string{{"account", "class", "name", "amount", "currency", "base_amount", "base_currency"}}
	err := s.shop.Accounts.Books(r.Context(), func(b *ledger.Books) error {
		all, err := b.Balances()
		for _, x := range all {
			rows = append(rows, []string{string(x.Account), string(x.Class), x.Name, x.Amount.Amount(),
				string(x.Amount.Currency()), x.Base.Amount(), string(s.shop.Currency())})
		}
		return err
	})
	if err != nil {
		return err
	}
	return sendRows(w, "balance.csv", rows)
}

func (s *ledgerPages) stockBookCSV(w http.ResponseWriter, r *http.Request) error {
	all, err := s.shop.Accounts.StockBook(r.Context())
	if err != nil {
		return err
	}
	rows := [][]string{{"number", "file", "description", "serial", "bought", "purchase_document", "seller", "price",
		"scheme", "sold", "sale_document", "buyer", "sale_price", "sale_scheme", "margin", "tax_rate", "tax", "currency", "note"}}
	for _, x := range all {
		rate := ""
		if !x.TaxRate.IsZero() {
			rate = x.TaxRate.String()
		}
		rows = append(rows, []string{strconv.Itoa(x.Number), strconv.Itoa(x.FileNumber), x.Description,
			x.Serial, x.Bought, x.PurchaseDocument, nameElseID(x.SellerName,
				x.Seller), csvMoney(x.Price), x.Scheme,
			x.Sold, nameElseID(x.Invoice, x.SaleDocument), nameElseID(x.BuyerName, x.Buyer), csvMoney(x.SalePrice),
			x.SaleScheme, csvMoney(x.Margin), rate, csvMoney(x.Tax), string(s.shop.Currency()), x.Note})
	}
	return sendRows(w, "stock-book.csv", rows)
}

func nameElseID(name, id string) string {
	if name == "" {
		return id
	}
	return name
}

func (s *ledgerPages) vatCSV(w http.ResponseWriter, r *http.Request) error {
	all, by, problem, err := s.vatRows(r)
	if err != nil {
		return err
	}
	if problem != "" {
		return s.vatPage(w, r)
	}
	rows := [][]string{{by, "margin_sales", "margins", "margin_tax", "ordinary_sales", "ordinary_tax", "other_tax", "untaxed_sales",
		"purchases", "input_tax", "due", "corrections", "currency"}}
	for _, x := range all {
		row := []string{x.Month}
		for _, m := range []money.Money{x.MarginSales, x.Margins, x.MarginTax, x.OrdinarySales, x.OrdinaryTax, x.OtherTax,
			x.UntaxedSales, x.Purchases, x.InputTax, x.Due, x.Corrections} {
			row = append(row, csvMoney(m))
		}
		rows = append(rows, append(row, string(s.shop.Currency())))
	}
	return sendRows(w, "vat.csv", rows)
}

func (s *ledgerPages) profitCSV(w http.ResponseWriter, r *http.Request) error {
	by := profitBy(r)
	all, err := s.shop.Accounts.RankedProfit(r.Context(), by)
	if err != nil {
		return err
	}
	rows := [][]string{{by, "sold", "income", "expense", "profit", "currency"}}
	for _, x := range all {
		rows = append(rows, []string{x.Key, strconv.Itoa(x.Sold), csvMoney(x.Income), csvMoney(x.Expense),
			csvMoney(x.Profit), string(s.shop.Currency())})
	}
	return sendRows(w, "profit.csv", rows)
}
