package web

import (
	"context"
	"errors"
	"net/http"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rights"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/change"
	"midcase/internal/web/pages/stock"
	"midcase/internal/web/pages/wording"
	"midcase/money"
)

// changeForm is a watch's own record.
type changeForm struct {
	State    shop.State  `form:"state" label:"State" kind:"choice"`
	Place    string      `form:"place" label:"Place" hint:"such as safe, tray 3" list:"places"`
	Asking   money.Money `form:"asking" label:"Our price" hint:"such as 9500 EUR"`
	Cost     money.Money `form:"cost" label:"Cost" hint:"what was paid, such as 6500 EUR"`
	Asked    money.Money `form:"asked" label:"Price asked of us" hint:"what the seller wants"`
	Acquired edtf.Date   `form:"acquired" label:"Acquired" hint:"such as 2026-03-01"`
	Note     string      `form:"note" label:"Note" kind:"area"`
	Version  int         `form:"version" kind:"hidden"`
}

var changing = form.Define[changeForm]("change a watch")

// Prepare implements the choices of a form.
func (f *changeForm) Prepare(v *form.View) {
	var states []form.Option
	for _, s := range shop.States() {
		states = append(states, form.Option{Value: string(s), Text: wording.State(s)})
	}
	v.Offer(&f.State, states...)
}

// correctForm is under which maker and reference a file stands.
type correctForm struct {
	Maker     string `form:"maker,needed" label:"Maker"`
	Reference string `form:"reference,needed" label:"Reference"`
	Reason    string `form:"reason,broad,needed" label:"Why" hint:"such as read from the case back; it is kept for good"`
	Version   int    `form:"correct_version" kind:"hidden"`
}

var correcting = form.Define[correctForm]("correct a file")

func correctOf(w shop.Watch) correctForm {
	return correctForm{Maker: w.Maker, Reference: w.Reference, Version: w.Version}
}

// correct gives a file another maker or reference.
func (s *watchPages) correct(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	f, err := correcting.Read(r, correctForm{})
	if err != nil {
		return err
	}
	if f.OK() {
		_, err = s.shop.Intake.Correct(ctx, record.ID, intake.Correcting{Maker: f.V.Maker, Reference: f.V.Reference,
			Reason: f.V.Reason, Version: f.V.Version}, s.user(ctx))
	}
	if f.Refused(err, nil) || !f.OK() {
		of := changing.Of(ctx, changeOf(record))
		seenChange(ctx, of, record)
		return s.changeForm(w, r, change.Data{Watch: record, Form: &of.View, Correct: &f.View},
			http.StatusUnprocessableEntity)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(record.ID)+"?changed=1", http.StatusSeeOther)
	return nil
}

func changeOf(w shop.Watch) changeForm {
	return changeForm{w.State, w.Place, w.Asking, w.Cost, w.Asked, w.Acquired, w.Note, w.Version}
}

func (f changeForm) over(w shop.Watch) shop.Watch {
	w.State, w.Place, w.Asking, w.Cost, w.Asked, w.Acquired, w.Note, w.Version = f.State, f.Place, f.Asking, f.Cost, f.Asked, f.Acquired, f.Note, f.Version
	return w
}

func (s *watchPages) changePage(w http.ResponseWriter, r *http.Request) error {
	record, err := s.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	f := changing.Of(r.Context(), changeOf(record))
	seenChange(r.Context(), f, record)
	return s.changeForm(w, r, change.Data{Watch: record, Form: &f.View}, http.StatusOK)
}

// seenChange leaves out what the watch cost and what was asked of us where that is not for whoever asks; both stay
// as they are on record.
func seenChange(ctx context.Context, f *form.Form[changeForm], w shop.Watch) {
	if rights.May(ctx, rights.Cost) {
		return
	}
	f.V.Cost, f.V.Asked = w.Cost, w.Asked
	f.Drop(&f.V.Cost)
	f.Drop(&f.V.Asked)
}

func (s *watchPages) changeForm(w http.ResponseWriter, r *http.Request, d change.Data, status int) error {
	d.Frame = s.frame("stock", "State and price of "+d.Watch.Title)
	all, _, err := s.shop.Desk.Overview(r.Context())
	if err != nil {
		return err
	}
	if d.Correct == nil {
		d.Correct = &correcting.Of(r.Context(), correctOf(d.Watch)).View
	}
	d.Places = stock.Offer(all, s.shop.Book(r.Context())).Places
	w.WriteHeader(status)
	return change.Page(d).Render(r.Context(), w)
}

// saveChange writes the record over the version that the form was made of. Where
// somebody else was quicker, the form comes again with both.
func (s *watchPages) saveChange(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	f, err := changing.Read(r, changeOf(record))
	if err != nil {
		return err
	}
	seenChange(ctx, f, record)
	d := change.Data{Watch: record, Form: &f.View}
	if !f.OK() {
		return s.changeForm(w, r, d, http.StatusUnprocessableEntity)
	}
	_, err = s.shop.Trade.Change(ctx, f.V.over(record))
	if errors.Is(err, shop.ErrConflict) {
		now, err := s.shop.Watch(ctx, record.ID)
		if err != nil {
			return err
		}
		d.Watch, d.Theirs = now, true
		theirs := changing.Of(ctx, changeOf(now))
		seenChange(ctx, theirs, now)
		f.Beside(&theirs.View)
		f.V.Version = now.Version
		f.Show(&f.V.Version)
		return s.changeForm(w, r, d, http.StatusConflict)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(record.ID)+"?changed=1", http.StatusSeeOther)
	return nil
}
