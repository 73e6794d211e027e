package v1

import (
	"bytes"
	"context"
	"net/http"
	"strconv"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"midcase/client"
	"midcase/internal/shop"
	"midcase/typed"
)

func (a *API) saleOperations() {
	type listIn struct {
		Paging
		Q string `query:"q" maxLength:"400" example:"KR-1" doc:"Text that must be found in maker and reference, family, serial number, source or note."`
	}
	register(a, huma.Operation{OperationID: "sales", Method: http.MethodGet, Path: "/sales", Tags: []string{"Sales"},
		Summary: "Recorded sales of the market, the newest first"},
		func(ctx context.Context, in *listIn) (*answer[client.Sales], error) {
			return a.sales(ctx, in.Paging, in.Q)
		})
	type addIn struct {
		Key  string `header:"Idempotency-Key" maxLength:"200" doc:"Another one for each thing to record; the same when it is sent again."`
		Body client.NewSales
	}
	register(a, huma.Operation{OperationID: "add-sales", Method: http.MethodPost, Path: "/sales",
		Tags: []string{"Sales"}, Summary: "Add sales",
		Description: "Good ones go in, bad ones are named and kept out; one that is there already is not added again.",
		RequestBody: example(client.NewSales{Items: []client.NewSale{{Date: "2026-09-14", Maker: "Corvane",
			Reference: "KR-1", Price: client.Money{Amount: "9800", Currency: "EUR"}, Venue: "dealer", Basis: "sold"}}}),
		Errors: []int{http.StatusConflict}},
		func(ctx context.Context, in *addIn) (*answer[client.SalesAdded], error) {
			return a.addSales(ctx, in.Body)
		})
	type oneIn struct {
		ID string `path:"id" maxLength:"100" example:"sale_fb21a41474227397" doc:"The sale's id."`
	}
	register(a, huma.Operation{OperationID: "sale", Method: http.MethodGet, Path: "/sales/{id}",
		Tags: []string{"Sales"}, Summary: "One sale", Errors: []int{http.StatusNotFound}},
		func(ctx context.Context, in *oneIn) (*answer[client.Sale], error) {
			s, err := a.shop.Sale(ctx, in.ID)
			if err != nil {
				return nil, err
			}
			return &answer[client.Sale]{Body: saleOf(s)}, nil
		})
}

func (a *API) sales(ctx context.Context, p Paging, q string) (*answer[client.Sales], error) {
	at, _, err := p.after()
	if err != nil {
		return nil, err
	}
	found, more, err := a.shop.SalesAfter(ctx, q, shop.SalePlace{Date: at.On, ID: at.ID}, p.Limit)
	if err != nil {
		return nil, err
	}
	out := client.Sales{Items: []client.Sale{}}
	for _, s := range found {
		out.Items = append(out.Items, saleOf(s))
	}
	if more {
		last := found[len(found)-1]
		out.Next = place{ID: last.ID, On: last.Date}.text()
	}
	return &answer[client.Sales]{Body: out}, nil
}

// addSales takes sales in as rows of a sales file, so that they are read in one place.
func (a *API) addSales(ctx context.Context, in client.NewSales) (*answer[client.SalesAdded], error) {
	var b bytes.Buffer
	sheet := typed.NewSheet(&b)
	if err := sheet.Write(shop.SaleColumns()); err != nil {
		return nil, err
	}
	line, item := 2, map[int]int{}
	for i, s := range in.Items {
		row := saleCells(s)
		item[line] = i
		if err := sheet.Write(row); err != nil {
			return nil, err
		}
		line += 1 + strings.Count(strings.Join(row, ""), "\n")
	}
	sheet.Flush()
	if err := sheet.Error(); err != nil {
		return nil, err
	}
	report, err := a.shop.ImportSales(ctx, &b, "sales")
	if err != nil {
		return nil, err
	}
	out := client.SalesAdded{Read: report.Read, Added: report.Added, Known: report.Known,
		Rejected: []client.RejectedRow{}}
	for _, r := range report.Rejected {
		out.Rejected = append(out.Rejected, client.RejectedRow{Item: item[r.Line], Field: r.Field, Found: r.Found,
			Want: r.Want})
	}
	return &answer[client.SalesAdded]{Body: out}, nil
}

func saleCells(s client.NewSale) []string {
	figure := func(v *float64) string {
		if v == nil {
			return ""
		}
		return strconv.FormatFloat(*v, 'f', -1, 64)
	}
	year := ""
	if s.Year != 0 {
		year = strconv.Itoa(s.Year)
	}
	return []string{s.Date, s.Maker, s.Family, s.Reference, s.Metal, s.Dial, year, figure(s.Condition), s.Completeness,
		figure(s.Originality), s.Country, s.Venue, s.Basis, s.Price.Amount, s.Price.Currency, s.Serial, s.Source,
		s.Note}
}
