package opinion

import (
	"strings"

	"midcase/evidence"
	"midcase/refbook"
	"midcase/say"
)

// identify finds the watch in the book and reads its marks.
func (f *forming) identify() {
	f.maker, f.ref = f.look()
	f.fitted = map[evidence.Slot]evidence.Entry[*evidence.Fitted]{}
	for _, e := range evidence.All[*evidence.Fitted](f.file) { // latest first
		if _, have := f.fitted[e.Data.Slot]; !have {
			f.fitted[e.Data.Slot] = e
		}
	}
	w := Watch{ID: f.file.ID, Title: f.file.Title, Maker: f.file.Maker, Reference: f.file.Reference, Set: f.set()}
	if f.maker != nil {
		w.Maker = f.maker.Name
	}
	if f.ref != nil {
		w.InBook = true
		w.Reference, w.Name, w.Metal = f.ref.ID, f.ref.Name, f.ref.Metal
		if fam, ok := f.maker.Family(f.ref.Family); ok {
			w.Family = fam.Name
		}
		w.Basis = append(w.Basis, f.fromBook())
	}
	if c, ok := f.fitted[evidence.Case]; ok && c.Data.Metal != "" {
		w.Metal = c.Data.Metal
		w.Basis = append(w.Basis, fromEvidence(c.Item.ID)...)
	}
	if m, ok := f.mark(evidence.MarkSerial); ok {
		w.Serial = m.Data.Text
		w.Basis = append(w.Basis, fromEvidence(m.Item.ID)...)
	}
	w.Calibre = f.calibre()
	if w.Title == "" {
		w.Title = strings.TrimSpace(w.Maker + " " + w.Reference + " " + w.Name)
	}
	f.out.Watch = w
	if len(f.file.Items) == 0 {
		f.unknown(say.That("unknown.no-evidence"))
	}
	switch {
	case f.book == nil:
		f.unknown(say.That("unknown.no-book"))
	case f.ref == nil:
		f.unknown(say.That("unknown.no-reference", say.Name("maker", f.file.Maker),
			say.Name("reference", f.file.Reference)))
	}
}

func (f *forming) look() (*refbook.Maker, *refbook.Reference) {
	if f.book == nil {
		return nil, nil
	}
	m, r, ok := f.book.Reference(f.file.Maker, f.file.Reference)
	if !ok {
		return m, nil
	}
	return m, r
}

// mark is the latest mark of a kind in force.
func (f *forming) mark(what string) (evidence.Entry[*evidence.Mark], bool) {
	for _, m := range evidence.All[*evidence.Mark](f.file) {
		if m.Data.What == what {
			return m, true
		}
	}
	return evidence.Entry[*evidence.Mark]{}, false
}

func (f *forming) calibre() string {
	if m, ok := f.mark(evidence.MarkCalibre); ok {
		return m.Data.Text
	}
	if e, ok := f.fitted[evidence.Movement]; ok && !e.Data.Absent && e.Data.Variant != evidence.Unknown {
		return e.Data.Variant
	}
	return ""
}

// set is what came with the watch: the watch alone, with papers, or the full set.
func (f *forming) set() string {
	papers, box := false, false
	for _, d := range evidence.All[*evidence.Document](f.file) {
		papers = papers || d.Data.What == "papers"
	}
	if e, ok := f.fitted[evidence.Papers]; ok {
		papers = !e.Data.Absent
	}
	if e, ok := f.fitted[evidence.Box]; ok {
		box = !e.Data.Absent
	}
	switch {
	case papers && box:
		return "full"
	case papers:
		return "papers"
	}
	return "watch"
}
