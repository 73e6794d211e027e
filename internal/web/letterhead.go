package web

import (
	"net/http"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/documents"
)

type shopProblem = evidence.Problem

// letterheadForm is what stands on every paper.
type letterheadForm struct {
	Name         string   `form:"name,needed" label:"Trading name"`
	TaxNumber    string   `form:"tax_number" label:"Tax number" hint:"for value added tax, as it must stand on invoices"`
	Country      string   `form:"country" label:"Country" hint:"two letters, for e-invoices"`
	Registration string   `form:"registration" label:"Number of registration" hint:"of the firm, if it has one"`
	SignedBy     string   `form:"signed_by" label:"Who signs" hint:"name and role, printed under the line"`
	Bank         string   `form:"bank" label:"Bank account" hint:"printed on invoices"`
	CheckedAt    string   `form:"checked_at" label:"Where papers are checked" hint:"the address at which others reach this program, such as https://shop.example; the square code on papers leads there. Empty: the code says number and head"`
	Lines        []string `form:"lines" label:"Address, telephone, web" hint:"one line each, up to five"`
	MarginWords  string   `form:"margin_words,needed,broad" label:"Margin scheme wording on invoices" hint:"in the European Union: Margin scheme – second-hand goods, or collector's items and antiques"`
	MarginGoods  string   `form:"margin_goods" label:"The margin scheme is for" choices:"=second-hand goods|art=works of art|collectors=collectors' items and antiques" hint:"gives the code in e-invoices"`
	MemoRisk     string   `form:"memo_risk,needed,broad" label:"Loss and damage of goods on memo are"`
	Terms        []string `form:"terms" label:"Terms on papers and listings" hint:"return, delivery, law; one line each"`
}

var letterheads = form.Define[letterheadForm]("letterhead")

func (s *paperPages) letterheadPage(w http.ResponseWriter, r *http.Request) error {
	l, err := s.shop.Letterhead(r.Context())
	if err != nil {
		return err
	}
	f := letterheads.Of(r.Context(), letterheadForm{l.Name, l.TaxNumber, l.Country, l.Registration, l.SignedBy, l.Bank,
		l.CheckedAt, l.Lines, l.MarginWords, l.MarginGoods, l.MemoRisk, l.Terms})
	return s.showLetterhead(w, r, &f.View)
}

func (s *paperPages) showLetterhead(w http.ResponseWriter, r *http.Request, f *form.View) error {
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return documents.LetterheadPage(documents.Letterhead{Frame: s.frame("documents", "Letterhead and words"), Form: f,
		Saved: r.FormValue("saved") != ""}).Render(r.Context(), w)
}

// saveLetterhead keeps the letterhead, or shows the form again with what is wrong.
func (s *paperPages) saveLetterhead(w http.ResponseWriter, r *http.Request) error {
	f, err := letterheads.Read(r, letterheadForm{})
	if err != nil {
		return err
	}
	v := f.V
	if f.OK() {
		err = s.shop.SetLetterhead(r.Context(), shop.Letterhead{Name: v.Name, TaxNumber: v.TaxNumber,
			SignedBy: v.SignedBy, Bank: v.Bank, Lines: v.Lines,
			Country: v.Country, Registration: v.Registration, CheckedAt: v.CheckedAt, MarginGoods: v.MarginGoods,
			MarginWords: v.MarginWords, MemoRisk: v.MemoRisk, Terms: v.Terms})
	}
	if f.Refused(err, nil) || !f.OK() {
		return s.showLetterhead(w, r, &f.View)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/documents/letterhead?saved=1", http.StatusSeeOther)
	return nil
}
