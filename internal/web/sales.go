package web

import (
	"errors"
	"net/http"

	"midcase/internal/web/pages/sales"
	"midcase/market"
)

const salesShown = 200

func (s *Server) salesPage(w http.ResponseWriter, r *http.Request) error {
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

func (s *Server) salesCSV(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="sales.csv"`)
	return s.shop.ExportSales(r.Context(), w)
}

func (s *Server) suspectsPage(w http.ResponseWriter, r *http.Request) error {
	found, err := s.shop.Suspects(r.Context(), s.shop.Now())
	if err != nil {
		return err
	}
	d := sales.Suspects{Frame: s.frame("market", "Sales that look like mistakes"), Rows: found,
		Currency: string(s.shop.Currency())}
	return sales.SuspectsPage(d).Render(r.Context(), w)
}

func (s *Server) importPage(w http.ResponseWriter, r *http.Request) error {
	return sales.ImportPage(sales.Import{Frame: s.frame("market", "Import sales")}).Render(r.Context(), w)
}

func (s *Server) importSales(w http.ResponseWriter, r *http.Request) error {
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

func (s *Server) importAgain(w http.ResponseWriter, r *http.Request, d sales.Import) error {
	w.WriteHeader(http.StatusUnprocessableEntity)
	return sales.ImportPage(d).Render(r.Context(), w)
}
