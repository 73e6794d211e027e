package web

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"path"
	"strings"
	"unicode/utf8"

	"midcase/internal/shop"
	"midcase/internal/shop/imports"
	"midcase/internal/web/pages/bringin"
	"midcase/tables"
)

// bringIn takes a dealer's own files: dropped or pasted, shown as understood, brought in
// as one batch, taken back.
type bringIn struct {
	*site
	held heldFiles
}

func (s *bringIn) routes(mux *http.ServeMux) {
	mux.Handle("GET /bring-in", s.page(s.start))
	mux.Handle("POST /bring-in", s.page(s.take))
	mux.Handle("GET /bring-in/{file}", s.page(s.preview))
	mux.Handle("POST /bring-in/{file}", s.page(s.bring))
	mux.Handle("GET /bring-in/batches/{batch}", s.page(s.batch))
	mux.Handle("POST /bring-in/batches/{batch}", s.page(s.undo))
}

const bringInTitle = "Bring in your files"

func (s *bringIn) start(w http.ResponseWriter, r *http.Request) error { return s.show(w, r, "") }

func (s *bringIn) show(w http.ResponseWriter, r *http.Request, problem string) error {
	all, err := s.shop.Imports.Batches(r.Context())
	if err != nil {
		return err
	}
	if problem != "" {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return bringin.Page(bringin.Data{Frame: s.frame("stock", bringInTitle), Batches: all,
		Problem: problem}).Render(r.Context(), w)
}

// take reads a file or pasted cells and shows what was understood of them.
func (s *bringIn) take(w http.ResponseWriter, r *http.Request) error {
	name, data, err := dropped(r)
	if err != nil {
		return err
	}
	if len(strings.TrimSpace(string(data))) == 0 {
		return s.show(w, r, "No file was chosen and nothing was pasted.")
	}
	if len(data) > tables.MaxBytes {
		return s.show(w, r, fmt.Sprintf("%s has %d MB; files of up to %d MB are read.", name, len(data)>>20,
			tables.MaxBytes>>20))
	}
	if cards := (heldFile{rand.Text(), name, s.user(r.Context()), data, s.shop.Now()}); cards.cards() {
		s.site.cards.keep(cards)
		http.Redirect(w, r, "/client-files/"+cards.token, http.StatusSeeOther)
		return nil
	}
	as := s.shop.Imports.Guess(r.Context(), name, data)
	if as == "" {
		if text, is := prose(data); is && (&bookNotes{s.site}).reads(text) {
			return (&bookNotes{s.site}).dropped(w, r, text)
		}
		return s.show(w, r, name+" holds no table that was understood. "+
			"A table has a row of headings and rows below it, as CSV, TSV or XLSX.")
	}
	f := heldFile{rand.Text(), name, s.user(r.Context()), data, s.shop.Now()}
	s.held.keep(f)
	http.Redirect(w, r, "/bring-in/"+f.token+"?as="+url.QueryEscape(string(as)), http.StatusSeeOther)
	return nil
}

// prose is a file as text; ok is false where it is none, or too long to be a notebook.
func prose(data []byte) (text string, ok bool) {
	if len(data) > maxNotebook || !utf8.Valid(data) || bytes.ContainsRune(data, 0) {
		return "", false
	}
	return plainText(strings.TrimPrefix(string(data), "\ufeff")), true
}

// dropped is the file of a request, or what was pasted.
func dropped(r *http.Request) (string, []byte, error) {
	file, header, err := r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) {
		return "pasted cells", []byte(plainText(r.PostFormValue("pasted"))), nil
	}
	if err != nil {
		return "", nil, err
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, tables.MaxBytes+1))
	return path.Base(header.Filename), data, err
}

// asked is the file of a request with the answers given to its questions.
func (s *bringIn) asked(r *http.Request, taken bool) (imports.File, error) {
	held, ok := s.held.find(r.PathValue("file"), s.user(r.Context()), s.shop.Now(), taken)
	if !ok {
		return imports.File{}, fmt.Errorf("file: %w: it was brought in already, half an hour is over, "+
			"or the program was started anew; choose it again", shop.ErrNotFound)
	}
	f := imports.File{Name: held.name, Data: held.bytes, As: tables.Kind(r.FormValue("as")), Answers: map[string]string{}}
	for key := range r.Form {
		if id, is := strings.CutPrefix(key, "answer."); is && strings.TrimSpace(r.Form.Get(key)) != "" {
			f.Answers[id] = r.Form.Get(key)
		}
	}
	return f, nil
}

func (s *bringIn) preview(w http.ResponseWriter, r *http.Request) error {
	f, err := s.asked(r, false)
	if err != nil {
		return err
	}
	return s.look(w, r, f)
}

// look shows what was understood of a file with the answers so far.
func (s *bringIn) look(w http.ResponseWriter, r *http.Request, f imports.File) error {
	var err error
	d := bringin.Preview{Frame: s.frame("stock", f.Name), Token: r.PathValue("file"), File: f.Name, As: string(f.As),
		Answers: f.Answers}
	d.Read, err = s.shop.Imports.Read(r.Context(), f)
	if err == nil {
		d.Answers = d.Read.Answers
	}
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		d.Problem = invalid.Error() + "."
		w.WriteHeader(http.StatusUnprocessableEntity)
	} else if err != nil {
		return err
	}
	return bringin.PreviewPage(d).Render(r.Context(), w)
}

func (s *bringIn) bring(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	f, err := s.asked(r, false)
	if err != nil {
		return err
	}
	if r.FormValue("look") != "" || r.FormValue("seen") != bringin.Seen(f.As, f.Answers) && r.Form.Has("seen") {
		return s.look(w, r, f) // answers that nobody has seen the outcome of bring nothing in
	}
	got, err := s.shop.Imports.Bring(r.Context(), f, s.user(r.Context()))
	if err != nil {
		return err
	}
	if got.Batch.Added() == 0 {
		http.Redirect(w, r, "/bring-in", http.StatusSeeOther)
		return nil
	}
	s.held.find(r.PathValue("file"), s.user(r.Context()), s.shop.Now(), true)
	http.Redirect(w, r, "/bring-in/batches/"+got.Batch.ID, http.StatusSeeOther)
	return nil
}

func (s *bringIn) batch(w http.ResponseWriter, r *http.Request) error {
	b, err := s.shop.Imports.Batch(r.Context(), r.PathValue("batch"))
	if err != nil {
		return err
	}
	return bringin.BatchPage(bringin.Batch{Frame: s.frame("stock", b.File), Batch: b}).Render(r.Context(), w)
}

func (s *bringIn) undo(w http.ResponseWriter, r *http.Request) error {
	b, err := s.shop.Imports.Undo(r.Context(), r.PathValue("batch"), s.user(r.Context()))
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/bring-in/batches/"+b.ID, http.StatusSeeOther)
	return nil
}
