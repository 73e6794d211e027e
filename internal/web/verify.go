package web

import (
	"encoding/hex"
	"errors"
	"net/http"
	"strings"

	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/web/pages/verify"
)

// verifyPages tell whoever holds a paper whether it was issued. Nobody is asked for a name, so they say no more than
// the paper says itself, and nothing to somebody who has only a number.
type verifyPages struct{ *site }

func (s *verifyPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /verify", s.page(s.verifyFile))
	mux.Handle("GET /verify/{number}", s.page(s.verifyNumber))
}

// verifyFile checks a paper by the sum of its bytes.
func (s *verifyPages) verifyFile(w http.ResponseWriter, r *http.Request) error {
	d := verify.Data{ByFile: true, SHA256: strings.ToLower(strings.TrimSpace(r.FormValue("sha256")))}
	if d.Asked = d.SHA256 != ""; !d.Asked {
		return s.showVerified(w, r, d, http.StatusOK)
	}
	if sum, err := hex.DecodeString(d.SHA256); err != nil || len(sum) != 32 {
		d.Problem = "That is no SHA-256. Give 64 figures and letters from a to f."
		return s.showVerified(w, r, d, http.StatusUnprocessableEntity)
	}
	p, err := papers.IssuedAs(r.Context(), s.shop, d.SHA256)
	return s.verified(w, r, d, p, err)
}

// verifyNumber checks a paper by its number and the head of the log that stands on it.
func (s *verifyPages) verifyNumber(w http.ResponseWriter, r *http.Request) error {
	p, err := papers.Issued(r.Context(), s.shop, r.PathValue("number"), r.FormValue("head"))
	return s.verified(w, r, verify.Data{Asked: true}, p, err)
}

func (s *verifyPages) verified(w http.ResponseWriter, r *http.Request, d verify.Data, p shop.Paper, err error) error {
	if errors.Is(err, shop.ErrNotFound) {
		return s.showVerified(w, r, d, http.StatusNotFound)
	}
	if err != nil {
		return err
	}
	d.Paper = &p
	if d.Newer, err = papers.NewerSince(r.Context(), s.shop, p); err != nil {
		return err
	}
	if d.TakenBack, err = papers.TakenBackBy(r.Context(), s.shop, p); err != nil {
		return err
	}
	return s.showVerified(w, r, d, http.StatusOK)
}

func (s *verifyPages) showVerified(w http.ResponseWriter, r *http.Request, d verify.Data, status int) error {
	d.Frame = s.frame("", "Check a paper")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	return verify.Page(d).Render(r.Context(), w)
}
