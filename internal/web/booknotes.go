package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"midcase/internal/bookdir"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/booknotes"
	"midcase/notes"
	"midcase/refbook"
)

// bookNotes turns a notebook about references into entries of the book.
type bookNotes struct{ *site }

func (s *bookNotes) routes(mux *http.ServeMux) {
	mux.Handle("GET /book-notes", s.page(s.empty))
	mux.Handle("POST /book-notes", s.page(s.read))
}

// notebookForm takes the notes.
type notebookForm struct {
	Text  string `form:"text,needed,broad" kind:"area" label:"Notes" hint:"Paste or dictate what you know about makers and references, one paragraph a reference." want:"your notes"`
	Named string `form:"named" label:"Maker" hint:"only where the notes do not name it"`
}

var takingNotebook = form.Define[notebookForm]("read notes about references")

// maxNotebook is the longest notebook read at once, in bytes: some hundred pages.
const maxNotebook = 200 << 10

func (s *bookNotes) empty(w http.ResponseWriter, r *http.Request) error {
	f := takingNotebook.Of(r.Context(), notebookForm{})
	return booknotes.Page(booknotes.Data{Frame: s.frame("book", "Book entries from notes"), Form: &f.View}).Render(r.Context(), w)
}

func (s *bookNotes) read(w http.ResponseWriter, r *http.Request) error {
	f, err := takingNotebook.Read(r, notebookForm{})
	if err != nil {
		return err
	}
	if len(f.V.Text) > maxNotebook {
		f.Wrong(&f.V.Text, fmt.Sprintf("These notes are longer than %d kB. Paste a part at a time.", maxNotebook>>10))
	}
	d := booknotes.Data{Frame: s.frame("book", "Book entries from notes"), Form: &f.View, Text: plainText(f.V.Text), Named: f.V.Named}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return booknotes.Page(d).Render(r.Context(), w)
	}
	return s.review(w, r, d)
}

// review shows what was understood of a text, or saves what was kept of it.
func (s *bookNotes) review(w http.ResponseWriter, r *http.Request, d booknotes.Data) error {
	reading := notes.ReadBook(d.Text, d.Named)
	answered := r.PostForm.Has("do")
	s.rows(&d, r, &reading, answered)
	d.Nothing = len(d.Rows) == 0
	d.Why = r.PostForm.Get("why")
	if !answered {
		d.Why = "our own notes"
	}
	makers := s.makers(&d, r, reading.Kept(), answered)
	if answered && len(d.Rows) > 0 && len(d.Problems) == 0 && r.PostForm.Get("do") == "save" {
		to, err := s.save(r, &d, makers)
		if err != nil {
			return err
		}
		if to != "" {
			http.Redirect(w, r, to, http.StatusSeeOther)
			return nil
		}
	}
	if len(d.Problems) > 0 {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return booknotes.Page(d).Render(r.Context(), w)
}

// reads reports whether a text says something of references that the book could hold.
func (s *bookNotes) reads(text string) bool {
	for _, m := range notes.ReadBook(text, "").Makers {
		for _, ref := range m.References {
			if ref.Made != nil || len(ref.Slots) > 0 {
				return true
			}
		}
	}
	return false
}

// dropped shows what was understood of a notebook that came as a file.
func (s *bookNotes) dropped(w http.ResponseWriter, r *http.Request, text string) error {
	f := takingNotebook.Of(r.Context(), notebookForm{Text: text})
	return s.review(w, r, booknotes.Data{Frame: s.frame("book", "Book entries from notes"), Form: &f.View, Text: text})
}

// rows shows what was understood, as the dealer has kept, mended and dropped it.
func (s *bookNotes) rows(d *booknotes.Data, r *http.Request, reading *notes.BookReading, answered bool) {
	all := reading.Proposals()
	d.Stretches = booknotes.Cut(d.Text, all, reading.Unread)
	for _, p := range all {
		row := booknotes.RowOf(p)
		if answered {
			row.Keep = slices.Contains(r.PostForm["keep"], p.ID)
			if row.HasValue {
				row.Value = r.PostForm.Get(p.ID + ".value")
			}
			if row.HasWhen {
				row.When = r.PostForm.Get(p.ID + ".when")
			}
			if !row.Keep {
				p.Drop()
			} else if err := p.Mend(row.Value, row.When); err != nil {
				d.Problems = append(d.Problems, err.Error()+".")
			}
		}
		d.Rows = append(d.Rows, row)
	}
	d.Groups = booknotes.Grouped(d.Rows)
}

// makers makes the entries of each maker and lists what is assumed in them.
func (s *bookNotes) makers(d *booknotes.Data, r *http.Request, reading notes.BookReading, answered bool) []refbook.Maker {
	var out []refbook.Maker
	for i, m := range reading.Makers {
		if i == 0 && answered {
			m.Name = strings.TrimSpace(r.PostForm.Get("maker"))
		}
		if i == 0 {
			d.Maker = m.Name
		}
		if m.Name == "" {
			if answered {
				d.Problems = append(d.Problems, "The notes do not name the maker. Enter the maker.")
			}
			continue
		}
		maker, assumed := m.Entries(source(d.Why))
		maker.Note = unreadNote(reading.Unread)
		if i > 0 {
			maker.Note = ""
		}
		for _, a := range assumed {
			d.Assumed = append(d.Assumed, a.About+": "+a.Says)
		}
		out = append(out, maker)
	}
	return out
}

func source(why string) string {
	if strings.TrimSpace(why) == "" {
		return "notes"
	}
	return strings.TrimSpace(why)
}

// unreadNote keeps the words that were not understood with the maker.
func unreadNote(unread []notes.Span) string {
	var all []string
	for _, u := range unread {
		all = append(all, u.Text)
	}
	return strings.Join(all, "; ")
}

// save writes the entries into the book: a new maker as a new file, further references of
// a maker behind those that the book has. It returns where to go on; empty where something
// is wrong, which stands in d.Problems then.
func (s *bookNotes) save(r *http.Request, d *booknotes.Data, makers []refbook.Maker) (string, error) {
	ctx := r.Context()
	to := ""
	for _, m := range makers {
		name, base, text, err := s.file(r, d, m)
		if err != nil {
			return "", err
		}
		if len(d.Problems) > 0 {
			return "", nil
		}
		_, err = s.shop.Library.SaveBookFile(ctx, name, base, text, source(d.Why), s.user(ctx))
		if says, refused := bookRefusals(err); refused {
			d.Problems = append(d.Problems, says...)
			return "", nil
		}
		if err != nil {
			return "", err
		}
		if to == "" {
			to = "/book/" + strings.TrimSuffix(name, ".yaml")
		}
	}
	if to == "" {
		d.Problems = append(d.Problems, "No line is kept. Keep at least one.")
	}
	return to, nil
}

// file is the text that the book's file of a maker becomes.
func (s *bookNotes) file(r *http.Request, d *booknotes.Data, m refbook.Maker) (name, base string, text []byte, err error) {
	known, has := s.shop.Book(r.Context()).Maker(m.Name)
	if !has {
		text, err = m.Text()
		return m.ID + ".yaml", "", text, err
	}
	files, err := s.shop.Library.BookFiles(r.Context())
	if err != nil {
		return "", "", nil, err
	}
	name = known.ID + ".yaml"
	useRuns(&m, known)
	text, had, err := refbook.Join(files[name], m)
	var edit *refbook.EditError
	if errors.As(err, &edit) {
		d.Problems = append(d.Problems, fmt.Sprintf("%s could not be added to: %v.", name, edit))
		return "", "", nil, nil
	}
	if len(had) > 0 {
		d.Problems = append(d.Problems, fmt.Sprintf("The book has %s of %s already. Drop those lines here, or edit them in the book.",
			strings.Join(had, ", "), known.Name))
	}
	return name, bookdir.Sum(files[name]), text, err
}

// useRuns lets the entries use the maker's runs of numbers that the book has.
func useRuns(m *refbook.Maker, known *refbook.Maker) {
	for i := range m.Serials {
		for _, run := range known.Serials {
			if run.Mark != m.Serials[i].Mark {
				continue
			}
			for j := range m.References {
				for k, id := range m.References[j].Serial {
					if id == m.Serials[i].ID {
						m.References[j].Serial[k] = run.ID
					}
				}
			}
			m.Serials[i].ID = run.ID
			break
		}
	}
}
