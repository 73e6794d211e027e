package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/watchnotes"
	"midcase/notes"
)

// noteReader turns notes on one watch into evidence, piece by piece.
type noteReader struct{ *site }

func (s *noteReader) routes(mux *http.ServeMux) {
	mux.Handle("GET /watches/{id}/notes", s.page(s.paste))
	mux.Handle("POST /watches/{id}/notes", s.page(s.review))
}

func (s *noteReader) paste(w http.ResponseWriter, r *http.Request) error {
	d, err := s.watch(r)
	if err != nil {
		return err
	}
	return watchnotes.Page(d).Render(r.Context(), w)
}

func (s *noteReader) watch(r *http.Request) (watchnotes.Data, error) {
	watch, err := s.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	return watchnotes.Data{Frame: s.frame("stock", "Evidence from notes"), Watch: watch}, err
}

// review shows what was read, and records what was kept of it.
func (s *noteReader) review(w http.ResponseWriter, r *http.Request) error {
	d, err := s.watch(r)
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return err
	}
	d.Text, d.Seller = plainText(r.PostForm.Get("text")), r.PostForm.Get("seller") != ""
	if len(d.Text) > maxNotebook {
		d.Problems = append(d.Problems, fmt.Sprintf("These notes are longer than %d kB. Paste a part at a time.",
			maxNotebook>>10))
		return s.again(w, r, d)
	}
	own, err := s.shop.Intake.Own(r.Context())
	if err != nil {
		return err
	}
	read := notes.Read(d.Text, notes.Options{Book: s.shop.Book(r.Context()), Maker: d.Watch.Maker,
		Reference: d.Watch.Reference,
		Year:      s.shop.Now().Year(), Seller: d.Seller, Own: own})
	save := r.PostForm.Get("do") == "save"
	for i, it := range read.Items {
		d.Rows = append(d.Rows, watchnotes.RowOf(i, it))
	}
	for i, u := range read.Unread {
		d.Unread = append(d.Unread, watchnotes.Left{N: i, Text: u.Text, From: u.From, To: u.To,
			Keep: !save || slices.Contains(r.PostForm["left"], strconv.Itoa(i))})
	}
	d.Nothing = len(d.Rows) == 0
	if save {
		s.answered(r, &d)
	}
	shown, err := s.odd(r, &d)
	if err != nil {
		return err
	}
	if !save || len(d.Problems) > 0 || !shown {
		return s.again(w, r, d)
	}
	return s.save(w, r, d)
}

func (s *noteReader) again(w http.ResponseWriter, r *http.Request, d watchnotes.Data) error {
	if len(d.Problems) > 0 {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return watchnotes.Page(d).Render(r.Context(), w)
}

// answered takes what was kept and mended.
func (s *noteReader) answered(r *http.Request, d *watchnotes.Data) {
	for i := range d.Rows {
		row := &d.Rows[i]
		row.Keep = slices.Contains(r.PostForm["keep"], strconv.Itoa(i))
		if !row.Keep {
			continue
		}
		fields := map[string]string{}
		for _, f := range row.Fields {
			if name := fmt.Sprintf("r%d.%s", i, f.Name); r.PostForm.Has(name) {
				fields[f.Name] = r.PostForm.Get(name)
			}
		}
		data, problems := evidence.FromFields(row.Kind, fields)
		if len(problems) == 0 {
			problems = data.Check()
		}
		if len(problems) > 0 {
			row.Wrong = form.Says(problems[0])
			d.Problems = append(d.Problems, fmt.Sprintf("“%s”: %s", row.Words, row.Wrong))
			continue
		}
		if was, ok := row.Data.(*evidence.Finding); ok && row.Says != "" {
			o := notes.Own{Say: row.Says, Term: data.(*evidence.Finding).Term}
			if o.Term != was.Term && o.Check() == nil {
				d.Learns = append(d.Learns, o)
			}
		}
		row.Data, row.Open, row.Fields = data, nil, watchnotes.FieldsOf(data, nil)
	}
}

// odd holds what may be kept against book and file; shown reports whether every doubt about
// what is kept stood on the page that was sent.
func (s *noteReader) odd(r *http.Request, d *watchnotes.Data) (shown bool, err error) {
	all := make([]evidence.Data, len(d.Rows))
	for i, row := range d.Rows {
		all[i] = row.Data
	}
	doubts, err := s.shop.Intake.Doubts(r.Context(), d.Watch.ID, all...)
	if err != nil {
		return false, err
	}
	shown = true
	for i := range d.Rows {
		d.Rows[i].Odd = doubts[i]
		if d.Rows[i].Keep && len(doubts[i]) > 0 && r.PostForm.Get(fmt.Sprintf("r%d.shown", i)) == "" {
			shown = false
		}
	}
	return shown, nil
}

// save records what was kept, and writes what was not read into the file's note.
func (s *noteReader) save(w http.ResponseWriter, r *http.Request, d watchnotes.Data) error {
	ctx := r.Context()
	var kept []evidence.Data
	for _, row := range d.Rows {
		if row.Keep {
			kept = append(kept, row.Data)
		}
	}
	var left []string
	for _, u := range d.Unread {
		if u.Keep {
			left = append(left, u.Text)
		}
	}
	to := "/watches/" + string(d.Watch.ID)
	if len(kept) > 0 {
		items, err := s.shop.Intake.RecordHeld(ctx, d.Watch.ID, s.user(ctx), "seen beside the notes", kept...)
		var invalid *shop.Invalid
		if errors.As(err, &invalid) {
			d.Problems = append(d.Problems, invalid.Error()+".")
			return s.again(w, r, d)
		}
		if err != nil {
			return err
		}
		if len(d.Learns) > 0 {
			to += "?learned=" + url.QueryEscape(d.Learns[0].Say)
		}
		to += "#" + string(items[0].ID)
		for _, o := range d.Learns {
			if err := s.shop.Intake.LearnWord(ctx, o, s.user(ctx)); err != nil {
				return err
			}
		}
	}
	if len(left) > 0 {
		watch := d.Watch
		watch.Note = strings.TrimSpace(watch.Note + "\n" + strings.Join(left, "; "))
		if _, err := s.shop.Trade.Change(ctx, watch); err != nil {
			return err
		}
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}
