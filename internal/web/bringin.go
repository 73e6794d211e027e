package web

import (
	"bytes"
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"path"
	"strconv"
	"strings"
	"sync"
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
	held    heldFiles
	writing sync.Map // how far the import of a held file has come, by its token: howFar
}

// howFar is how much of long work is done.
type howFar struct {
	Done int `json:"done"`
	Of   int `json:"of"`
}

func (s *bringIn) routes(mux *http.ServeMux) {
	mux.Handle("GET /bring-in", s.page(s.start))
	mux.Handle("POST /bring-in", s.page(s.take))
	mux.Handle("GET /bring-in/{file}", s.page(s.preview))
	mux.Handle("POST /bring-in/{file}", s.page(s.bring))
	mux.Handle("GET /bring-in/written/{file}", s.page(s.written))
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

// take reads a file or pasted cells and leads to what was understood of them. Where many files are dropped at once, the
// page asks for the address instead, to list it.
func (s *bringIn) take(w http.ResponseWriter, r *http.Request) error {
	name, data, err := dropped(r)
	if err != nil {
		return err
	}
	got := s.recognise(r, name, data)
	switch {
	case strings.Contains(r.Header.Get("Accept"), "application/json"):
		(&api{s.site}).json(func(*http.Request) (any, error) { return got, nil }).ServeHTTP(w, r)
	case got.Problem != "":
		return s.show(w, r, got.Problem)
	default:
		http.Redirect(w, r, got.At, http.StatusSeeOther)
	}
	return nil
}

// recognised is what a file that was dropped is taken for.
type recognised struct {
	As      string `json:"as,omitempty"`
	At      string `json:"at,omitempty"` // the page that shows what was understood
	Problem string `json:"problem,omitempty"`
}

// What a file may be taken for besides the kinds of tables.
const (
	asRates    = "exchange rates"
	asNotebook = "notes about references"
	asContacts = "contacts"
)

// recognise tells what a file is, and holds it for the page that reads it.
func (s *bringIn) recognise(r *http.Request, name string, data []byte) recognised {
	by, now := s.user(r.Context()), s.shop.Now()
	f := heldFile{rand.Text(), name, by, data, now}
	switch {
	case len(strings.TrimSpace(string(data))) == 0:
		return recognised{Problem: "No file was chosen and nothing was pasted."}
	case len(data) > tables.MaxBytes:
		return recognised{Problem: fmt.Sprintf("%s has %d MB; files of up to %d MB are read.", name, len(data)>>20,
			tables.MaxBytes>>20)}
	case f.cards():
		s.site.cards.keep(f)
		return recognised{As: asContacts, At: "/client-files/" + f.token}
	}
	held := func(as string) recognised {
		s.held.keep(f)
		return recognised{As: as, At: "/bring-in/" + f.token + "?as=" + url.QueryEscape(as)}
	}
	if as := s.listed(r, name, data); as != "" {
		return held(as)
	}
	if text, is := prose(data); is && (&bookNotes{s.site}).reads(text) {
		return held(asNotebook)
	}
	if strings.HasPrefix(http.DetectContentType(data), "image/") {
		return recognised{Problem: name + " is a picture. Pictures are sorted on a page of their own."}
	}
	return recognised{Problem: noTable(name, data)}
}

// longFile is from where on a file is more likely a list than a table of exchange rates, which are then looked for last:
// each look at a long file takes its time.
const longFile = 1 << 20

// listed tells what a file of a table lists; empty where it is none.
func (s *bringIn) listed(r *http.Request, name string, data []byte) string {
	rates := func() string {
		if rates, err := s.shop.ReadRates(tables.Head(data)); err == nil && len(rates.Latest(rates.Base())) > 0 {
			return asRates
		}
		return ""
	}
	list := func() string { return string(s.shop.Imports.Guess(r.Context(), name, data)) }
	if len(data) > longFile {
		return cmp.Or(list(), rates())
	}
	return cmp.Or(rates(), list())
}

// noTable says why nothing was found in a file: that it is damaged or of a kind that is not read, where that is so.
func noTable(name string, data []byte) string {
	got, err := tables.Read(data, tables.Stock, tables.Options{})
	switch {
	case err != nil && !errors.Is(err, tables.ErrNoTable):
		return name + ": " + strings.TrimPrefix(err.Error(), "tables: ") + "."
	case err == nil && len(got.Rows) == 0:
		return name + " has headings, but no row below them."
	}
	return name + " holds no table that was understood. " +
		"A table has a row of headings and rows below it, as CSV, TSV or XLSX."
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
	switch f.As {
	case asNotebook:
		text, _ := prose(f.Data)
		return (&bookNotes{s.site}).dropped(w, r, text)
	case asRates:
		return s.lookAtRates(w, r, f)
	}
	return s.look(w, r, f)
}

// lookAtRates shows which exchange rates a file has.
func (s *bringIn) lookAtRates(w http.ResponseWriter, r *http.Request, f imports.File) error {
	rates, err := s.shop.ReadRates(f.Data)
	if err != nil {
		return shop.Refuse("exchange rates", "file", f.Name, err.Error())
	}
	return bringin.RatesPage(bringin.Rates{Frame: s.frame("stock", f.Name), Token: r.PathValue("file"), File: f.Name,
		As: asRates, Base: string(rates.Base()), Latest: rates.Latest(rates.Base())}).Render(r.Context(), w)
}

// bringRates adds the exchange rates of a file to those of the shop, and books what waited for them.
func (s *bringIn) bringRates(w http.ResponseWriter, r *http.Request, f imports.File) error {
	n, err := s.shop.ImportRates(r.Context(), bytes.NewReader(f.Data))
	if err != nil {
		return err
	}
	if _, err := s.shop.Imports.BookLate(r.Context(), s.user(r.Context())); err != nil {
		return err
	}
	s.held.find(r.PathValue("file"), s.user(r.Context()), s.shop.Now(), true)
	http.Redirect(w, r, "/rates?added="+strconv.Itoa(n), http.StatusSeeOther)
	return nil
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
	if f.As == asRates {
		return s.bringRates(w, r, f)
	}
	if r.FormValue("look") != "" || r.FormValue("seen") != bringin.Seen(f.As, f.Answers) && r.Form.Has("seen") {
		return s.look(w, r, f) // answers that nobody has seen the outcome of bring nothing in
	}
	token := r.PathValue("file")
	f.Written = func(done, of int) { s.writing.Store(token, howFar{done, of}) }
	defer s.writing.Delete(token)
	got, err := s.shop.Imports.Bring(r.Context(), f, s.user(r.Context()))
	if err != nil {
		return err
	}
	if !got.Batch.Brings() {
		http.Redirect(w, r, "/bring-in", http.StatusSeeOther)
		return nil
	}
	s.held.find(token, s.user(r.Context()), s.shop.Now(), true)
	http.Redirect(w, r, "/bring-in/batches/"+got.Batch.ID, http.StatusSeeOther)
	return nil
}

// written answers how far the import of a file has come, while it runs.
func (s *bringIn) written(w http.ResponseWriter, r *http.Request) error {
	if _, ok := s.held.find(r.PathValue("file"), s.user(r.Context()), s.shop.Now(), false); !ok {
		return shop.NotFound("this file is not being brought in")
	}
	(&api{s.site}).json(func(*http.Request) (any, error) {
		if now, ok := s.writing.Load(r.PathValue("file")); ok {
			return now, nil
		}
		return howFar{}, nil
	}).ServeHTTP(w, r)
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
