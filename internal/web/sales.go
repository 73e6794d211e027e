package web

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"midcase/internal/web/pages/sale"
	"midcase/internal/web/pages/sales"
	"midcase/market"
)

const salesShown = 200

func (s *marketPages) salesPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	all, err := s.shop.SaleCount(ctx)
	if err != nil {
		return err
	}
	d := sales.List{Frame: s.frame("market", "Sales on record"), Text: r.FormValue("q"), All: all}
	if d.Rows, d.Total, err = s.shop.FindSales(ctx, d.Text, salesShown); err != nil {
		return err
	}
	return sales.ListPage(d).Render(ctx, w)
}

func (s *marketPages) salesCSV(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="sales.csv"`)
	return s.shop.ExportSales(r.Context(), w)
}

func (s *marketPages) suspectsPage(w http.ResponseWriter, r *http.Request) error {
	found, err := s.shop.Suspects(r.Context(), s.shop.Now())
	if err != nil {
		return err
	}
	d := sales.Suspects{Frame: s.frame("market", "Sales that look like mistakes"), Rows: found,
		Currency: string(s.shop.Currency())}
	return sales.SuspectsPage(d).Render(r.Context(), w)
}

func (s *marketPages) importPage(w http.ResponseWriter, r *http.Request) error {
	d := sales.Import{Frame: s.frame("market", "Import sales")}
	d.Added, _ = strconv.Atoi(r.FormValue("own")) // what this page's own button sent here
	var err error
	if d.Own, err = s.shop.Trade.OwnSalesMissing(r.Context()); err != nil {
		return err
	}
	return sales.ImportPage(d).Render(r.Context(), w)
}

// addOwnSales adds the shop's own sales that were booked before such sales were kept here.
func (s *marketPages) addOwnSales(w http.ResponseWriter, r *http.Request) error {
	added, err := s.shop.Trade.AddOwnSales(r.Context())
	if err != nil {
		return err
	}
	http.Redirect(w, r, fmt.Sprintf("/sales/import?own=%d", added.Added), http.StatusSeeOther)
	return nil
}

func (s *marketPages) importSales(w http.ResponseWriter, r *http.Request) error {
	d := sales.Import{Frame: s.frame("market", "Import sales")}
	file, header, err := r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) {
		d.Problem = "No file was chosen."
		return s.importAgain(w, r, d)
	}
	if err != nil {
		return err
	}
	defer file.Close()
	report, err := s.shop.ImportSales(r.Context(), file, header.Filename)
	if errors.Is(err, market.ErrNotSales) {
		d.Problem = err.Error() + "."
		return s.importAgain(w, r, d)
	}
	if err != nil {
		return err
	}
	d.Report = &report
	return sales.ImportPage(d).Render(r.Context(), w)
}

func (s *marketPages) importAgain(w http.ResponseWriter, r *http.Request, d sales.Import) error {
	w.WriteHeader(http.StatusUnprocessableEntity)
	return sales.ImportPage(d).Render(r.Context(), w)
}

func (s *marketPages) salePage(w http.ResponseWriter, r *http.Request) error {
	record, err := s.shop.Sale(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	return sale.Page(sale.Data{Frame: s.frame("market", "Sale"), Sale: record}).Render(r.Context(), w)
}
