package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/bookwrite"
	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/watch"
	"midcase/notes"
	"midcase/refbook"
)

// bookWriter writes makers and references into the book field by field, in words.
type bookWriter struct{ *site }

func (s *bookWriter) routes(mux *http.ServeMux) {
	mux.Handle("GET /book-write", s.page(s.open))
	mux.Handle("POST /book-write", s.page(s.sent))
	mux.Handle("GET /book-write/time", (&api{s.site}).json(s.time))
}

// open shows an empty draft, one for a further reference of a maker, or a reference of the book.
func (s *bookWriter) open(w http.ResponseWriter, r *http.Request) error {
	d := bookwrite.Data{Draft: notes.Draft{Maker: r.FormValue("maker"), Reference: r.FormValue("reference")}}
	d.Why = "our own notes"
	maker, has := s.shop.Book(r.Context()).Maker(d.Draft.Maker)
	if has {
		if err := s.known(r, &d, maker); err != nil {
			return err
		}
		if ref, ok := maker.Reference(d.Draft.Reference); ok {
			d.Draft, d.Edits = notes.DraftOf(maker, ref), true
		}
		d.Draft.Maker = maker.Name
		for _, run := range maker.Serials {
			d.Draft.Numbers = append(d.Draft.Numbers, notes.DraftNumbers(run)...)
		}
	}
	return s.show(w, r, d, http.StatusOK)
}

// known fills in the maker's entry and the file it came from.
func (s *bookWriter) known(r *http.Request, d *bookwrite.Data, maker *refbook.Maker) error {
	files, err := s.shop.Library.BookFiles(r.Context())
	if err != nil {
		return err
	}
	d.Maker, d.Base = maker, bookdir.Sum(files[maker.ID+".yaml"])
	return nil
}

func (s *bookWriter) show(w http.ResponseWriter, r *http.Request, d bookwrite.Data, status int) error {
	d.Frame = s.frame("book", "Write the book")
	w.WriteHeader(status)
	return bookwrite.Page(d).Render(r.Context(), w)
}

func (s *bookWriter) sent(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	if err := r.ParseForm(); err != nil {
		return fmt.Errorf("form: %w", err)
	}
	d := bookwrite.Data{Draft: draftSent(r.PostForm), Base: r.PostForm.Get("base"), Why: r.PostForm.Get("why"),
		Edits: r.PostForm.Get("edits") != ""}
	base := d.Base
	if maker, has := s.shop.Book(ctx).Maker(d.Draft.Maker); has {
		if err := s.known(r, &d, maker); err != nil {
			return err
		}
	}
	d.Changed = base != "" && base != d.Base
	name, text := s.written(r, &d)
	refused := d.Changed || len(d.Problems)+len(d.Refused) > 0
	var err error
	switch {
	case refused:
	case r.PostForm.Get("do") == "save":
		_, err = s.shop.Library.SaveBookFile(ctx, name, d.Base, text, source(d.Why), s.user(ctx))
		if err == nil {
			http.Redirect(w, r, savedAt(name, d.Draft), http.StatusSeeOther)
			return nil
		}
	default:
		err = s.look(r, &d, name, text)
	}
	if err != nil && !refusedByBook(&d, err) {
		return err
	}
	if refused || err != nil {
		return s.show(w, r, d, http.StatusUnprocessableEntity)
	}
	return s.show(w, r, d, http.StatusOK)
}

func savedAt(name string, d notes.Draft) string {
	maker := strings.TrimSuffix(name, ".yaml")
	if d.Reference == "" {
		return "/book/" + url.PathEscape(maker)
	}
	return "/book/" + refbook.Path(maker, d.Reference)
}

// refusedByBook shows what the check of the whole book, or the store, refused.
func refusedByBook(d *bookwrite.Data, err error) bool {
	if errors.Is(err, shop.ErrConflict) {
		d.Changed = true
		return true
	}
	says, ok := bookRefusals(err)
	d.Refused = append(d.Refused, says...)
	return ok
}

// bookRefusals are the sentences for a maker's file that was refused; ok is false where the error is another one.
func bookRefusals(err error) (says []string, ok bool) {
	var problems refbook.Problems
	var invalid *shop.Invalid
	switch {
	case errors.As(err, &problems):
		for _, p := range problems {
			says = append(says, fmt.Sprintf("%s: %s; %s", p.Path, p.Found, p.Hint))
		}
	case errors.As(err, &invalid):
		for _, p := range invalid.Problems {
			says = append(says, form.Says(p))
		}
	default:
		return nil, false
	}
	return says, true
}

// look checks what would be saved and says on which watches the opinion would change.
func (s *bookWriter) look(r *http.Request, d *bookwrite.Data, name string, text []byte) error {
	book, err := s.shop.Library.CheckBookFile(r.Context(), name, text)
	if err != nil {
		return err
	}
	d.Looked, d.Text = true, string(text)
	if first, last, ok := refbook.Section(text, d.Draft.Reference); ok {
		d.Text = strings.Join(strings.Split(d.Text, "\n")[first-1:last], "\n")
	}
	if d.Maker == nil {
		return nil
	}
	effects, looked, of, err := s.shop.Library.BookEffects(r.Context(), d.Maker.ID, book)
	if err != nil {
		return err
	}
	d.Seen, d.Of = looked, of
	for _, e := range effects {
		d.Effects = append(d.Effects, bookwrite.Effect{Watch: e.Watch, Changes: watch.Changes(r.Context(), e.Before, e.Now)})
	}
	return nil
}

// written is the text that the maker's file becomes, with what stands in the way of it in d.
func (s *bookWriter) written(r *http.Request, d *bookwrite.Data) (name string, text []byte) {
	read, problems := d.Draft.Read()
	entry, assumed := d.Draft.Entries(read, d.Maker, source(d.Why))
	d.Problems, d.Assumed = problems, assumed
	if d.Maker == nil {
		if entry.ID == "" && len(problems) == 0 {
			d.Problems = append(d.Problems, notes.DraftProblem{Field: "maker", Says: "Enter a name with letters or digits."})
		}
		text, err := entry.Text()
		if err != nil {
			d.Refused = append(d.Refused, err.Error())
		}
		return entry.ID + ".yaml", text
	}
	name = d.Maker.ID + ".yaml"
	files, err := s.shop.Library.BookFiles(r.Context())
	if err == nil && len(d.Problems) == 0 {
		text, err = joined(d, entry, files[name])
	}
	if err != nil {
		d.Refused = append(d.Refused, err.Error())
	}
	return name, text
}

// joined is the text of a known maker's file with the draft in it.
func joined(d *bookwrite.Data, entry refbook.Maker, text []byte) ([]byte, error) {
	useRuns(&entry, d.Maker)
	text, had, err := refbook.Join(text, entry)
	if err != nil {
		return nil, err
	}
	if len(had) > 0 && !d.Edits {
		d.Problems = append(d.Problems, notes.DraftProblem{Field: "reference",
			Says: "The book has this reference already. Open it in the book to change it."})
		return nil, nil
	}
	d.Problems = append(d.Problems, d.Draft.OtherCalibres(d.Maker)...)
	old, ok := d.Maker.Reference(d.Draft.Reference)
	if d.Edits && ok && len(entry.References) == 1 {
		amended := notes.Amended(*old, entry.References[0], notes.DraftOf(d.Maker, old), d.Draft)
		if text, err = refbook.ReplaceReference(text, amended); err != nil {
			return nil, err
		}
	}
	for _, run := range d.Maker.Serials {
		amended, problems := notes.AmendedRun(run, d.Draft, source(d.Why))
		d.Problems = append(d.Problems, problems...)
		if slices.Equal(amended.Anchors, run.Anchors) {
			continue
		}
		if text, err = refbook.ReplaceSerial(text, amended); err != nil {
			return nil, err
		}
	}
	return text, nil
}

// draftSent is the draft that a form sent, as typed.
func draftSent(f url.Values) notes.Draft {
	get := func(parts ...any) string { return f.Get(bookwrite.Row(parts...)) }
	d := notes.Draft{Maker: strings.TrimSpace(f.Get("maker")), Country: f.Get("country"),
		Reference: strings.TrimSpace(f.Get("reference")), Name: f.Get("name"), Family: f.Get("family"), Made: f.Get("made"),
		Metal: f.Get("metal"), Note: plainText(f.Get("note"))}
	for i := 0; f.Has(bookwrite.Row("calibres", i, "name")); i++ {
		d.Calibres = append(d.Calibres, notes.DraftCalibre{Name: get("calibres", i, "name"), Beats: get("calibres", i, "beats"),
			Jewels: get("calibres", i, "jewels"), Winding: get("calibres", i, "winding")})
	}
	for i := 0; f.Has(bookwrite.Row("sizes", i, "mm")); i++ {
		if x := (notes.DraftSize{What: get("sizes", i, "what"), MM: get("sizes", i, "mm")}); x.MM != "" && x.What != "" {
			d.Sizes = append(d.Sizes, x)
		}
	}
	for _, slot := range evidence.Slots() {
		p := notes.DraftPart{Slot: slot, Replaced: get("parts", slot, "replaced")}
		for i := 0; f.Has(bookwrite.Row("parts", slot, i, "name")); i++ {
			v := notes.DraftVersion{ID: get("parts", slot, i, "id"), Name: strings.TrimSpace(get("parts", slot, i, "name")),
				When: strings.TrimSpace(get("parts", slot, i, "when")), Look: get("parts", slot, i, "look"),
				Lume: get("parts", slot, i, "lume"), Service: get("parts", slot, i, "service") != ""}
			if v.ID != "" || v.Name != "" || v.When != "" || v.Look != "" {
				p.Versions = append(p.Versions, v)
			}
		}
		if len(p.Versions) > 0 {
			d.Parts = append(d.Parts, p)
		}
	}
	d.Numbers = numbersSent(f)
	return d
}

func numbersSent(f url.Values) []notes.DraftNumber {
	var out []notes.DraftNumber
	for k := 0; f.Has(bookwrite.Row("numbers", k, 0, "mark")); k++ {
		for i := 0; f.Has(bookwrite.Row("numbers", k, i, "number")); i++ {
			at := bookwrite.Row("numbers", k, i)
			n := notes.DraftNumber{At: at, Run: f.Get(at + ".run"), Mark: f.Get(at + ".mark"), Number: f.Get(at + ".number"),
				When: f.Get(at + ".when"), Source: f.Get(at + ".source")}
			if strings.TrimSpace(n.Number+n.When) != "" {
				out = append(out, n)
			}
		}
	}
	return out
}

// timeRead is what the words of a time were read as, in months since the year 0, for the bar beside them.
type timeRead struct {
	Whole   [2]int        `json:"whole"`
	Windows []monthWindow `json:"windows"`
	Wrong   string        `json:"wrong,omitempty"`
}

type monthWindow struct {
	First int     `json:"first"`
	Last  int     `json:"last"`
	Soft  int     `json:"soft_months"`
	Share float64 `json:"share"`
}

// time reads the words of a time within those of the reference.
func (s *bookWriter) time(r *http.Request) (any, error) {
	out := timeRead{Windows: []monthWindow{}}
	made, ok := (notes.Draft{Made: r.FormValue("made")}).MadeWithin()
	if !ok {
		out.Wrong = "Enter when the reference was made first."
		return out, nil
	}
	whole := plot.Whole(made)
	out.Whole = [2]int{int(whole.First), int(whole.Last)}
	read, err := notes.ReadTimes(r.FormValue("words"), made.String())
	if err != nil {
		out.Wrong = err.Error()
		return out, nil
	}
	for _, w := range read {
		d, err := edtf.Parse(w.Made)
		if err != nil {
			continue
		}
		bar := plot.NewSpan(d, whole, w.Share)
		out.Windows = append(out.Windows, monthWindow{int(max(bar.First, whole.First)), int(min(bar.Last, whole.Last)),
			w.SoftMonths, w.Share})
	}
	return out, nil
}
