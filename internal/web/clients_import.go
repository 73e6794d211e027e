package web

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/people"
	"midcase/internal/web/pages/clients"
)

// clientFiles takes files of clients in by two steps: what was sent is held in memory,
// never on disk, until it is written or forgotten.
type clientFiles struct{ *site }

const (
	largestClients  = 8 << 20
	clientFileAgain = "This upload has expired or was imported already. Choose the file again."
)

func (f *clientFiles) choose(w http.ResponseWriter, r *http.Request) error {
	return clients.ImportPage(clients.Import{Frame: f.frame("clients", "Import clients")}).Render(r.Context(), w)
}

func (f *clientFiles) again(w http.ResponseWriter, r *http.Request, problem string) error {
	w.WriteHeader(http.StatusUnprocessableEntity)
	return clients.ImportPage(clients.Import{Frame: f.frame("clients", "Import clients"),
		Problem: problem}).Render(r.Context(), w)
}

func (f *clientFiles) take(w http.ResponseWriter, r *http.Request) error {
	file, header, err := r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) {
		return f.again(w, r, "No file was chosen.")
	}
	if err != nil {
		return err
	}
	defer file.Close()
	b, err := io.ReadAll(io.LimitReader(file, largestClients+1))
	if err != nil {
		return err
	}
	switch {
	case len(b) == 0:
		return f.again(w, r, "The file is empty.")
	case len(b) > largestClients:
		return f.again(w, r, "The file is larger than 8 MB.")
	}
	held := heldFile{rand.Text(), header.Filename, f.user(r.Context()), b, f.shop.Now()}
	f.cards.keep(held)
	http.Redirect(w, r, "/client-files/"+held.token, http.StatusSeeOther)
	return nil
}

func (h heldFile) cards() bool {
	return strings.HasSuffix(strings.ToLower(h.name), ".vcf") || people.IsCards(h.bytes)
}

// read reads a held file, its columns as the request tells them.
func (h heldFile) read(r *http.Request) (d clients.Preview, all []shop.Client, err error) {
	d = clients.Preview{Token: h.token, File: h.name}
	if h.cards() {
		all, d.Rejected, err = people.ReadVCards(bytes.NewReader(h.bytes))
		return d, all, err
	}
	if d.Head, d.First, d.Mapping, err = people.CSVColumns(bytes.NewReader(h.bytes)); err != nil {
		return d, nil, err
	}
	for _, field := range people.CSVFields() {
		if name := "map_" + field; r.Form.Has(name) {
			d.Mapping[field] = r.Form.Get(name)
		}
	}
	all, d.Rejected, err = people.ReadCSV(bytes.NewReader(h.bytes), d.Mapping)
	return d, all, err
}

func (f *clientFiles) look(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	h, ok := f.cards.find(r.PathValue("token"), f.user(r.Context()), f.shop.Now(), false)
	if !ok {
		return f.again(w, r, clientFileAgain)
	}
	d, all, err := h.read(r)
	d.Frame = f.frame("clients", "What "+h.name+" holds")
	if err != nil {
		if d.Head == nil {
			return f.again(w, r, strings.TrimSuffix(err.Error(), ".")+".")
		}
		d.Problem = strings.TrimSuffix(err.Error(), ".") + ". Tell below which column holds it."
		w.WriteHeader(http.StatusUnprocessableEntity)
		return clients.PreviewPage(d).Render(r.Context(), w)
	}
	if d.Lines, err = f.shop.People.PreviewImport(r.Context(), all); err != nil {
		return err
	}
	return clients.PreviewPage(d).Render(r.Context(), w)
}

func (f *clientFiles) write(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	h, ok := f.cards.find(r.PathValue("token"), f.user(r.Context()), f.shop.Now(), true)
	if !ok {
		return f.again(w, r, clientFileAgain)
	}
	d, all, err := h.read(r)
	if err != nil {
		return f.again(w, r, err.Error()+".")
	}
	done, err := f.shop.People.Import(r.Context(), all, r.PostFormValue("duplicates") == "merge")
	if err != nil {
		return fmt.Errorf("%s: %w", h.name, err)
	}
	count := strconv.Itoa
	http.Redirect(w, r, query("/clients", "added", count(done.Added), "merged", count(done.Merged), "duplicates",
		count(len(done.Duplicates)), "rejected", count(len(d.Rejected)+len(done.Rejected))), http.StatusSeeOther)
	return nil
}
