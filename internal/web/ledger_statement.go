package web

import (
	"crypto/rand"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"

	"midcase/internal/bank"
	"midcase/internal/shop"
	"midcase/internal/shop/imports"
	page "midcase/internal/web/pages/ledger"
)

// bankStatements read bank statements and book the lines that are confirmed. A file is held for half an hour, for
// whoever chose it.
type bankStatements struct {
	ledgerPages
	held heldFiles
}

func (s *bankStatements) routes(mux *http.ServeMux) {
	mux.Handle("GET /ledger/statement", s.page(s.start))
	mux.Handle("POST /ledger/statement", s.page(s.take))
	mux.Handle("GET /ledger/statement/{file}", s.page(s.look))
	mux.Handle("POST /ledger/statement/{file}", s.page(s.book))
}

func (s *bankStatements) data() page.StatementData {
	return page.StatementData{Head: s.ledgerHead("statement", "Bank statement")}
}

func (s *bankStatements) start(w http.ResponseWriter, r *http.Request) error {
	return page.Statement(s.data()).Render(r.Context(), w)
}

func (s *bankStatements) take(w http.ResponseWriter, r *http.Request) error {
	name, data, err := dropped(r)
	if err != nil {
		return err
	}
	d := s.data()
	switch {
	case len(data) == 0:
		d.Problem = "No file was chosen."
	case len(data) > bank.MostBytes:
		d.Problem = fmt.Sprintf("%s has %d MB; statements of up to %d MB are read.", name, len(data)>>20,
			bank.MostBytes>>20)
	default:
		f := heldFile{rand.Text(), name, s.user(r.Context()), data, s.shop.Now()}
		s.held.keep(f)
		http.Redirect(w, r, "/ledger/statement/"+f.token, http.StatusSeeOther)
		return nil
	}
	w.WriteHeader(http.StatusUnprocessableEntity)
	return page.Statement(d).Render(r.Context(), w)
}

// asked is the statement of a request.
func (s *bankStatements) asked(r *http.Request) (imports.BankFile, error) {
	held, ok := s.held.find(r.PathValue("file"), s.user(r.Context()), s.shop.Now(), false)
	if !ok {
		return imports.BankFile{}, fmt.Errorf("bank statement: %w: half an hour is over, or the program was started "+
			"anew; choose the file again", shop.ErrNotFound)
	}
	return imports.BankFile{Name: held.name, Data: held.bytes, DayOrder: r.FormValue("order")}, nil
}

func (s *bankStatements) look(w http.ResponseWriter, r *http.Request) error { return s.show(w, r, "") }

// show shows a statement with what its lines may pay.
func (s *bankStatements) show(w http.ResponseWriter, r *http.Request, problem string) error {
	f, err := s.asked(r)
	if err != nil {
		return err
	}
	d := s.data()
	d.Token, d.File, d.Order, d.Problem = r.PathValue("file"), f.Name, f.DayOrder, problem
	d.Read, err = s.shop.Imports.ReadBank(r.Context(), f)
	var invalid *shop.Invalid
	switch {
	case errors.As(err, &invalid):
		d.Token, d.Problem = "", invalid.Error()+"."
	case err != nil:
		return err
	}
	if d.Batch = r.FormValue("batch"); d.Batch != "" {
		d.Note = "Booked."
	}
	if d.Problem != "" {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return page.Statement(d).Render(r.Context(), w)
}

// book books the lines that were ticked.
func (s *bankStatements) book(w http.ResponseWriter, r *http.Request) error {
	f, err := s.asked(r)
	if err != nil {
		return err
	}
	var lines []int
	for _, text := range r.Form["line"] {
		n, err := strconv.Atoi(text)
		if err != nil {
			return s.show(w, r, "“"+text+"” is not the number of a line.")
		}
		lines = append(lines, n)
	}
	if len(lines) == 0 {
		return s.show(w, r, "No line was ticked. Tick the lines to book.")
	}
	b, err := s.shop.Imports.BookBank(r.Context(), f, lines, s.user(r.Context()))
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		said := invalid.Error() + "."
		if len(b.Entries) > 0 {
			said += fmt.Sprintf(" %d lines before it are booked.", len(b.Lines))
		}
		return s.show(w, r, said)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/ledger/statement/"+r.PathValue("file")+"?batch="+url.QueryEscape(b.ID), http.StatusSeeOther)
	return nil
}
