package web

import (
	"context"
	"fmt"
	"net/http"

	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/store"
	"midcase/internal/web/form"
	page "midcase/internal/web/pages/care"
)

// Care is how whoever serves the shop looks after it, for the pages. Any of it may be nil.
type Care struct {
	Check    func(ctx context.Context) ([]store.Finding, error)
	KeepBook func(ctx context.Context) error // files of the book that were edited by hand
	BackUp   func(ctx context.Context, to string) (says string, err error)
	To       func(ctx context.Context) string // where backups go, or went last
	// Sheet is the recovery sheet for the key of the client data; SheetToPrint reports that nobody has one yet.
	Sheet        func(ctx context.Context) (document.KeySheet, error)
	SheetToPrint func() bool
	// ClockBehind reports that the machine's clock says less than at the last change, so that nothing is recorded;
	// ClockIsRight goes on from what it says now.
	ClockBehind  func() bool
	ClockIsRight func(ctx context.Context, who string) error
}

// carePages let an owner check the shop and back it up.
type carePages struct{ *site }

func (s *carePages) routes(mux *http.ServeMux) {
	mux.Handle("GET /care", s.page(s.carePage))
	mux.Handle("POST /care", s.page(s.change))
	mux.Handle("POST /care/sheet", s.page(s.sheet))
}

type backupForm struct {
	To string `form:"to,needed" label:"Where to" hint:"a folder of the machine that serves the shop, on another disk, or s3://HOST/BUCKET/PREFIX" auto:"off"`
}

var backingUp = form.Define[backupForm]("backup")

func (s *carePages) carePage(w http.ResponseWriter, r *http.Request) error {
	notices := map[string]string{"book": "Kept. The files count as they are now.",
		"clock": "Noted. Things are recorded again, by the clock as it is."}
	return s.show(w, r, page.Data{Notice: notices[r.FormValue("done")]}, nil)
}

func (s *carePages) show(w http.ResponseWriter, r *http.Request, d page.Data, f *form.View) error {
	d.Frame = s.frame("settings", "Check and backup")
	care := s.opt.Care
	d.Sheet, d.Clock = care.Sheet != nil, care.ClockBehind != nil && care.ClockBehind()
	if s.opt.BackedUp != nil {
		d.BackedUp = s.opt.BackedUp()
	}
	switch {
	case care.BackUp == nil:
	case f == nil:
		d.Backup = &backingUp.Of(r.Context(), backupForm{To: care.To(r.Context())}).View
	default:
		if d.Backup = f; !f.OK() {
			w.WriteHeader(http.StatusUnprocessableEntity)
		}
	}
	for _, f := range d.Findings {
		d.Book = d.Book || f.What == store.InBook && care.KeepBook != nil
	}
	return page.Page(d).Render(r.Context(), w)
}

func (s *carePages) change(w http.ResponseWriter, r *http.Request) error {
	care, act := s.opt.Care, r.PostFormValue("act")
	switch {
	case act == "check" && care.Check != nil:
		found, err := care.Check(r.Context())
		if err != nil {
			return err
		}
		return s.show(w, r, page.Data{Checked: true, Findings: found}, nil)
	case act == "keep-book" && care.KeepBook != nil:
		if err := care.KeepBook(r.Context()); err != nil {
			return err
		}
		http.Redirect(w, r, "/care?done=book", http.StatusSeeOther)
		return nil
	case act == "clock" && care.ClockIsRight != nil:
		if err := care.ClockIsRight(r.Context(), s.user(r.Context())); err != nil {
			return err
		}
		http.Redirect(w, r, "/care?done=clock", http.StatusSeeOther)
		return nil
	case act == "backup" && care.BackUp != nil:
		return s.backUp(w, r)
	}
	return shop.Refuse("care", "act", fmt.Sprintf("%.40q", act), "check, keep-book, clock or backup")
}

func (s *carePages) backUp(w http.ResponseWriter, r *http.Request) error {
	f, err := backingUp.Read(r, backupForm{})
	if err != nil {
		return err
	}
	if !f.OK() {
		return s.show(w, r, page.Data{}, &f.View)
	}
	says, err := s.opt.Care.BackUp(r.Context(), f.V.To)
	if err != nil {
		s.opt.Log.Error("backup from the page", "error", err)
		f.Wrong(&f.V.To, "No backup was made: "+err.Error()+". Choose a place that can be written, with space.")
	}
	return s.show(w, r, page.Data{Notice: says}, &f.View)
}

// sheet shows the recovery sheet to be printed; who asked for it is noted.
func (s *carePages) sheet(w http.ResponseWriter, r *http.Request) error {
	if s.opt.Care.Sheet == nil {
		return fmt.Errorf("recovery sheet: %w", shop.ErrNotFound)
	}
	one, err := s.opt.Care.Sheet(r.Context())
	if err != nil {
		return err
	}
	in := shop.SignIn{Name: s.user(r.Context()), What: "recovery sheet of the client key shown"}
	if err := s.shop.Staff.Note(r.Context(), in); err != nil {
		return err
	}
	if r.PostFormValue("as") == "pdf" {
		w.Header().Set("Content-Type", "application/pdf")
		w.Header().Set("Content-Disposition", `attachment; filename="recovery-sheet.pdf"`)
		return document.WriteKeySheetPDF(w, one)
	}
	return page.SheetPage(s.frame("settings", "Recovery sheet"), one.Text()).Render(r.Context(), w)
}
