package web

import (
	"bytes"
	"fmt"
	"net/http"
	"net/url"
	"time"

	"midcase/internal/document"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/documents"
	"midcase/internal/web/pages/wording"
	"midcase/market"
	"midcase/say"
)

// valuationForm is what a valuation is made for.
type valuationForm struct {
	Purpose     string   `form:"purpose,needed" label:"What it is for" kind:"choice"`
	Users       string   `form:"for,needed,broad" label:"Who may rely on it" hint:"a role rather than a name, such as: the owner and the insurer of the household. What is written here stays on the paper"`
	Basis       string   `form:"basis" label:"Kind of value" kind:"choice" hint:"ask whoever wants the paper which kind is needed"`
	Effective   string   `form:"effective" label:"Day of the value" kind:"day" hint:"empty for today; sales made later do not count"`
	Assumptions []string `form:"assume" label:"What else is taken as given" hint:"one sentence a line, or nothing"`
	Language    string   `form:"language" label:"Language of the paper" kind:"choice"`
}

// Prepare implements the choices of a form.
func (f *valuationForm) Prepare(v *form.View) {
	purposes := []form.Option{{Text: "choose"}}
	kinds := []form.Option{{Text: "the usual one for the purpose"}}
	for _, u := range document.Uses() {
		purposes = append(purposes, form.Option{Value: u.ID, Text: u.Name.String() + " (as a rule " + string(u.Basis) + ")"})
	}
	for _, b := range market.Bases() {
		kinds = append(kinds, form.Option{Value: string(b), Text: string(b), Says: b.Definition().String()})
	}
	languages := []form.Option{{Text: "the shop’s"}}
	for _, l := range say.Languages() {
		languages = append(languages, form.Option{Value: l, Text: wording.Language(l)})
	}
	v.Offer(&f.Language, languages...)
	v.Offer(&f.Purpose, purposes...)
	v.Offer(&f.Basis, kinds...)
}

var valuations = form.Define[valuationForm]("valuation")

// asked reads what a valuation of a watch is to be for; the form says what is wrong with it.
func (s *paperPages) asked(r *http.Request) (shop.Watch, *form.Form[valuationForm], document.Assignment, error) {
	var a document.Assignment
	record, err := s.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return record, nil, a, err
	}
	f, err := valuations.Read(r, valuationForm{})
	if err != nil {
		return record, nil, a, err
	}
	a = document.Assignment{Purpose: f.V.Purpose, Users: f.V.Users, Basis: market.Basis(f.V.Basis),
		Assumptions: f.V.Assumptions}
	if f.V.Effective == "" {
		return record, f, a, nil
	}
	if a.Effective, err = time.Parse(time.DateOnly, f.V.Effective); err != nil {
		f.Wrong(&f.V.Effective, "Give a day such as 2026-03-01.")
	}
	return record, f, a, nil
}

func (s *paperPages) valuationPage(w http.ResponseWriter, r *http.Request) error {
	record, err := s.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	return s.showValuation(w, r, record, &valuations.Of(r.Context(), valuationForm{}).View)
}

func (s *paperPages) showValuation(w http.ResponseWriter, r *http.Request, record shop.Watch, f *form.View) error {
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return documents.ValuationPage(documents.Valuation{Frame: s.frame("documents", "Statement of value"), Watch: record,
		Form: f}).Render(r.Context(), w)
}

// noValue is the field at which it stands that there is no value: another kind may have one.
var noValue = map[string]string{"value": "basis"}

// makeValuation issues a valuation.
func (s *paperPages) makeValuation(w http.ResponseWriter, r *http.Request) error {
	record, f, a, err := s.asked(r)
	if err != nil {
		return err
	}
	if !f.OK() {
		return s.showValuation(w, r, record, &f.View)
	}
	order := papers.Order{Kind: shop.PaperValuation, Watch: record.ID, By: s.who(r), Assigned: &a,
		Language: f.V.Language}
	p, err := papers.Make(r.Context(), s.shop, order)
	if f.Refused(err, noValue) {
		return s.showValuation(w, r, record, &f.View)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/documents/"+url.PathEscape(p.ID)+"?made=1", http.StatusSeeOther)
	return nil
}

// lookAtValuation shows the valuation that the form describes, without a number.
func (s *paperPages) lookAtValuation(w http.ResponseWriter, r *http.Request) error {
	record, f, a, err := s.asked(r)
	if err != nil {
		return err
	}
	if !f.OK() {
		return s.showValuation(w, r, record, &f.View)
	}
	rep, err := papers.ValuationOn(r.Context(), s.shop, record.ID, a)
	if f.Refused(err, noValue) {
		return s.showValuation(w, r, record, &f.View)
	}
	if err != nil {
		return err
	}
	if rep.Language, err = papers.LanguageOf(r.Context(), s.shop, f.V.Language); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := document.WriteValuationPDF(&b, rep); err != nil {
		return err
	}
	return sendPaper(w, fmt.Sprintf("draft-%d-valuation", record.Number), "pdf", b.Bytes())
}
