package web

import (
	"errors"
	"net/http"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/documents"
	"midcase/internal/web/pages/field"
)

type shopProblem = evidence.Problem

func (s *Server) letterheadPage(w http.ResponseWriter, r *http.Request) error {
	l, err := s.shop.Letterhead(r.Context())
	if err != nil {
		return err
	}
	return documents.LetterheadPage(documents.Letterhead{Frame: s.frame("documents", "Letterhead and words"), Fields: letterheadFields(l), Saved: r.FormValue("saved") != ""}).Render(r.Context(), w)
}

func letterheadFields(l shop.Letterhead) []field.Field {
	return []field.Field{
		{Name: "name", Label: "Name under which the shop trades", Value: l.Name, Needed: true},
		{Name: "tax_number", Label: "Tax number", Value: l.TaxNumber, Hint: "for value added tax, as it must stand on invoices"},
		{Name: "signed_by", Label: "Who signs", Value: l.SignedBy, Hint: "name and office, printed under the line"},
		{Name: "bank", Label: "Account for payment", Value: l.Bank, Hint: "printed on invoices"},
		{Name: "lines", Label: "Address, telephone, web", Value: strings.Join(l.Lines, "\n"), Type: "area", Hint: "one line each, up to five"},
		{Name: "margin_words", Label: "Words on an invoice under the margin scheme", Value: l.MarginWords, Needed: true, Broad: true, Hint: "in the European Union: Margin scheme – second-hand goods, or collector's items and antiques"},
		{Name: "memo_risk", Label: "Loss and damage of goods on memo are", Value: l.MemoRisk, Needed: true, Broad: true},
		{Name: "terms", Label: "Terms printed on papers about dealings and on listings", Value: strings.Join(l.Terms, "\n"), Type: "area", Hint: "return, delivery, law; one line each"},
	}
}

// saveLetterhead keeps the letterhead, or shows the form again with what is wrong.
func (s *Server) saveLetterhead(w http.ResponseWriter, r *http.Request) error {
	l := shop.Letterhead{Name: r.FormValue("name"), TaxNumber: strings.TrimSpace(r.FormValue("tax_number")), SignedBy: strings.TrimSpace(r.FormValue("signed_by")), Bank: strings.TrimSpace(r.FormValue("bank")),
		Lines: linesOf(r.FormValue("lines")), MarginWords: strings.TrimSpace(r.FormValue("margin_words")), MemoRisk: strings.TrimSpace(r.FormValue("memo_risk")), Terms: linesOf(r.FormValue("terms"))}
	err := s.shop.SetLetterhead(r.Context(), l)
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return documents.LetterheadPage(documents.Letterhead{Frame: s.frame("documents", "Letterhead and words"), Fields: field.Fill(letterheadFields(l), nil, invalid.Problems), Wrong: true}).Render(r.Context(), w)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/documents/letterhead?saved=1", http.StatusSeeOther)
	return nil
}

func linesOf(text string) []string {
	var out []string
	for _, l := range strings.Split(strings.ReplaceAll(text, "\r", ""), "\n") {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}
