package web

import (
	"net/http"

	"midcase/condition"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/ownwords"
	"midcase/notes"
)

// ownWordPages show what words mean in this shop's notes.
type ownWordPages struct{ *site }

func (s *ownWordPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /own-words", s.page(s.list))
	mux.Handle("POST /own-words", s.page(s.teach))
	mux.Handle("POST /own-words/remove", s.page(s.remove))
}

// ownWordForm is what a word means.
type ownWordForm struct {
	Say  string `form:"say,needed" label:"Words" hint:"such as peppered; one to five words"`
	Term string `form:"term,needed" label:"Finding" kind:"choice"`
}

var teaching = form.Define[ownWordForm]("learn a word")

// Prepare implements the choices of a form.
func (f *ownWordForm) Prepare(v *form.View) {
	all := []form.Option{{Value: "", Text: "choose"}}
	for _, t := range condition.Terms() {
		all = append(all, form.Option{Value: t.ID, Text: t.Name})
	}
	v.Offer(&f.Term, all...)
}

func (s *ownWordPages) list(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, &teaching.Of(r.Context(), ownWordForm{}).View)
}

func (s *ownWordPages) show(w http.ResponseWriter, r *http.Request, f *form.View) error {
	d := ownwords.Data{Frame: s.frame("stock", "The shop’s own words"), Teach: f}
	var err error
	if d.Words, err = s.shop.Intake.OwnWords(r.Context()); err != nil {
		return err
	}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return ownwords.Page(d).Render(r.Context(), w)
}

func (s *ownWordPages) teach(w http.ResponseWriter, r *http.Request) error {
	f, err := teaching.Read(r, ownWordForm{})
	if err != nil {
		return err
	}
	if f.OK() {
		err = s.shop.Intake.LearnWord(r.Context(), notes.Own{Say: f.V.Say, Term: f.V.Term}, s.user(r.Context()))
	}
	if f.Refused(err, nil) || !f.OK() {
		return s.show(w, r, &f.View)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/own-words", http.StatusSeeOther)
	return nil
}

func (s *ownWordPages) remove(w http.ResponseWriter, r *http.Request) error {
	if err := s.shop.Intake.ForgetWord(r.Context(), r.PostFormValue("say")); err != nil {
		return err
	}
	http.Redirect(w, r, "/own-words", http.StatusSeeOther)
	return nil
}
