package web

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"path"
	"strings"

	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/web/pages/documents"
	"midcase/internal/web/pages/wording"
	"midcase/money"
)

// paperPages draw up, number and show the shop's papers.
type paperPages struct{ *site }

func (s *paperPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /documents", s.page(s.documentsPage))
	mux.Handle("POST /documents", s.page(s.makePaper))
	mux.Handle("GET /documents/letterhead", s.page(s.letterheadPage))
	mux.Handle("POST /documents/letterhead", s.page(s.saveLetterhead))
	mux.Handle("GET /documents/{id}", s.page(s.paperPage))
	mux.Handle("GET /documents/{id}/{ending}", s.page(s.paperFile))
	mux.Handle("GET /watches/{id}/papers/{file}", s.page(s.paperPreview))
	mux.Handle("GET /watches/{id}/valuation", s.page(s.valuationPage))
	mux.Handle("POST /watches/{id}/valuation", s.page(s.makeValuation))
	mux.Handle("GET /watches/{id}/valuation.pdf", s.page(s.lookAtValuation))
}

// papersShown is how many papers the list holds, and watchesFound how many watches are offered.
const (
	papersShown  = 200
	watchesFound = 12
)

func (s *paperPages) documentsData(r *http.Request) (documents.Data, error) {
	ctx := r.Context()
	d := documents.Data{Frame: s.frame("documents", "Documents"), Query: strings.TrimSpace(r.FormValue("q"))}
	l, err := s.shop.Letterhead(ctx)
	if err != nil {
		return d, err
	}
	d.Titled = len(l.Lines) > 0
	if d.Pictures, err = s.shop.Desk.Pictures(ctx); err != nil {
		return d, err
	}
	filter := shop.PaperFilter{Limit: papersShown}
	if id := r.FormValue("watch"); id != "" {
		w, err := s.shop.Watch(ctx, shop.WatchID(id))
		if err != nil {
			return d, err
		}
		d.Watch, filter.Watch = &w, w.ID
	} else if d.Query != "" {
		if d.Found, err = s.watchesNamed(r, d.Query); err != nil {
			return d, err
		}
	}
	if d.Papers, err = papers.List(ctx, s.shop, filter); err != nil {
		return d, err
	}
	var dealings []papers.Occasion
	if d.Watch != nil {
		if dealings, err = papers.Offered(ctx, s.shop, *d.Watch); err != nil {
			return d, err
		}
	}
	named := len(dealings) > 0
	for _, p := range d.Papers {
		named = named || p.Client != ""
	}
	if named {
		if d.Names, _, err = s.shop.Names(ctx, "list of papers"); err != nil {
			return d, err
		}
	}
	if d.Watch != nil {
		d.Offers = documents.NewOffers(ctx, *d.Watch, dealings, d.Names)
	}
	return d, nil
}

// watchesNamed finds watches by number, serial number or words.
func (s *paperPages) watchesNamed(r *http.Request, q string) ([]shop.Watch, error) {
	if w, err := s.shop.Find(r.Context(), q); err == nil {
		return []shop.Watch{w}, nil
	} else if !errors.Is(err, shop.ErrNotFound) && !errors.Is(err, shop.ErrAmbiguous) {
		return nil, err
	}
	return s.shop.Watches(r.Context(), shop.Filter{Text: q, Limit: watchesFound})
}

func (s *paperPages) documentsPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.documentsData(r)
	if err != nil {
		return err
	}
	return documents.Page(d).Render(r.Context(), w)
}

// makePaper makes, numbers and keeps a paper.
func (s *paperPages) makePaper(w http.ResponseWriter, r *http.Request) error {
	o := papers.Order{Kind: shop.PaperKind(r.FormValue("kind")), Watch: shop.WatchID(r.FormValue("watch")),
		Step: r.FormValue("step"), By: s.who(r), Annex: r.FormValue("annex") != "",
		Language: r.FormValue("language")}
	err := readPrice(r, &o.Price)
	var p shop.Paper
	if err == nil {
		p, err = papers.Make(r.Context(), s.shop, o)
	}
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		d, derr := s.documentsData(r)
		if derr != nil {
			return derr
		}
		d.Problem = "Nothing was made. " + invalid.Error()
		for i := range d.Offers {
			if d.Offers[i].AskPrice {
				d.Offers[i].Price = r.FormValue("amount")
			}
		}
		w.WriteHeader(http.StatusUnprocessableEntity)
		return documents.Page(d).Render(r.Context(), w)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/documents/"+url.PathEscape(p.ID)+"?made=1", http.StatusSeeOther)
	return nil
}

// readPrice reads a price such as 5200 EUR; an empty text is none.
func readPrice(r *http.Request, into *money.Money) error {
	text, err := wording.ReaderOf(r.Context()).Locale.ReadMoney(r.FormValue("amount"))
	if err != nil {
		return &shop.Invalid{What: "price", Problems: []shopProblem{{Field: "amount", Found: err.Error(),
			Want: "a price that reads one way, such as 5200 EUR"}}}
	}
	if text = strings.TrimSpace(text); text == "" {
		return nil
	}
	amount, currency, _ := strings.Cut(text, " ")
	m, err := money.Parse(amount, strings.TrimSpace(currency))
	if err != nil || m.Sign() <= 0 {
		return &shop.Invalid{What: "price", Problems: []shopProblem{{Field: "amount", Found: fmt.Sprintf("%q", text),
			Want: "a price above zero such as 5200 EUR"}}}
	}
	*into = m
	return nil
}

func (s *paperPages) paperPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	p, content, err := papers.Get(ctx, s.shop, r.PathValue("id"))
	if err != nil {
		return err
	}
	d := documents.One{Frame: s.frame("documents", wording.Paper(p.Kind)+" "+p.Number), Paper: p,
		New: r.FormValue("made") != "", Gone: p.Client != "" && content == "", Lacks: papers.LacksEInvoice(content)}
	if p.Client != "" {
		names, _, err := s.shop.Names(ctx, "paper")
		if err != nil {
			return err
		}
		if d.Name = names[p.Client]; d.Name == "" {
			d.Name = "erased"
		}
	}
	for _, f := range p.Files {
		one := documents.File{PaperFile: f}
		if !f.Kept && !d.Gone {
			if _, _, one.Same, err = papers.Print(ctx, s.shop, p.ID, f.Ending); err != nil {
				return err
			}
		}
		d.Files = append(d.Files, one)
	}
	return documents.OnePage(d).Render(ctx, w)
}

// mediaTypes of the forms in which papers are made.
var mediaTypes = map[string]string{"pdf": "application/pdf", "md": "text/markdown; charset=utf-8",
	"json": "application/json", "jsonld": "application/ld+json", "html": "text/html; charset=utf-8", "xml": "application/xml"}

func (s *paperPages) paperFile(w http.ResponseWriter, r *http.Request) error {
	p, b, _, err := papers.Print(r.Context(), s.shop, r.PathValue("id"), r.PathValue("ending"))
	if err != nil {
		return err
	}
	return sendPaper(w, strings.ReplaceAll(string(p.Kind), " ", "-")+"-"+p.Number, r.PathValue("ending"), b)
}

// sendPaper sends a file of a paper. A piece of HTML goes as a file, not as a page of ours.
func sendPaper(w http.ResponseWriter, name, ending string, b []byte) error {
	how := "inline"
	if ending == "html" || ending == "xml" {
		how = "attachment"
	}
	w.Header().Set("Content-Type", mediaTypes[ending])
	w.Header().Set("Content-Disposition", fmt.Sprintf(`%s; filename="%s.%s"`, how, name, ending))
	w.Header().Set("Cache-Control", "private, no-store")
	_, err := w.Write(b)
	return err
}

// paperPreview shows a paper before it is made: without a number, and not kept.
func (s *paperPages) paperPreview(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	file := r.PathValue("file")
	ending := strings.TrimPrefix(path.Ext(file), ".")
	kind := shop.PaperKind(strings.ReplaceAll(strings.TrimSuffix(file, "."+ending), "-", " "))
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	if mediaTypes[ending] == "" {
		return fmt.Errorf("paper %s: %w", file, shop.ErrNotFound)
	}
	if kind == shop.PaperValuation { // not without what it is for
		http.Redirect(w, r, "/watches/"+url.PathEscape(string(record.ID))+"/valuation", http.StatusSeeOther)
		return nil
	}
	var b bytes.Buffer
	if kind.Personal() {
		err = papers.Draft(ctx, s.shop, papers.Order{Kind: kind, Watch: record.ID, Step: r.FormValue("step"),
			Language: r.FormValue("language")}, ending, &b)
	} else {
		rep, _, rerr := s.report(r)
		if rerr != nil {
			return rerr
		}
		if rep.Language, err = papers.LanguageOf(ctx, s.shop, r.FormValue("language")); err == nil {
			err = papers.WriteOn(ctx, s.shop, kind, ending, record, rep, r.FormValue("language"), &b)
		}
	}
	if err != nil {
		return err
	}
	return sendPaper(w, fmt.Sprintf("draft-%d-%s", record.Number, strings.TrimSuffix(file, "."+ending)), ending,
		b.Bytes())
}
