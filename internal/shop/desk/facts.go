package desk

import (
	"strings"

	"midcase/condition"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/opinion"
	"midcase/refbook"
)

// Facts are what a watch is found by, as its opinion and its evidence have it. They are gathered when the
// opinion is formed and never changed after.
type Facts struct {
	First, Last int // years of the 90 % range of making; 0 where it is not dated
	Metal       string
	Calibre     string
	Set         string // watch, papers or full
	Box         bool   // recorded as there
	Verdicts    map[evidence.Slot]string
	Service     map[evidence.Slot]bool            // a later replacement made by the maker
	Picture     string                            // SHA-256 of the picture that shows it best; empty where there is none
	Terms       map[string]map[evidence.Slot]bool // findings, and what was looked for and not found is left out

	looks map[evidence.Slot]string // search key of what is said of the part that is fitted
	words string                   // search key of all that is said
}

// bestPicture is the latest picture from the front, else of the dial, else any.
func bestPicture(file evidence.File) string {
	best, rank := "", 0
	for _, it := range file.Items {
		p, ok := it.Data.(*evidence.Photo)
		if !ok || len(p.Blob) != 64 {
			continue
		}
		if r := map[string]int{"front": 3, "dial": 2}[p.View] + 1; r > rank {
			best, rank = p.Blob, r
		}
	}
	return best
}

// gather takes the facts of a watch.
func gather(o opinion.Opinion, file evidence.File, book *refbook.Book) *Facts {
	f := &Facts{Metal: o.Watch.Metal, Calibre: o.Watch.Calibre, Set: o.Watch.Set,
		Verdicts: map[evidence.Slot]string{}, Service: map[evidence.Slot]bool{},
		Terms: map[string]map[evidence.Slot]bool{}, looks: map[evidence.Slot]string{}}
	f.Picture = bestPicture(file)
	if o.Dating.Known {
		f.First, f.Last = o.Dating.Interval90[0].Year(), o.Dating.Interval90[1].Year()
	}
	for _, p := range o.Parts {
		f.Verdicts[p.Slot], f.Service[p.Slot] = p.Verdict, p.Service
	}
	said := []string{o.Watch.Family, o.Watch.Name, o.Watch.Calibre}
	_, ref, _ := book.Reference(o.Watch.Maker, o.Watch.Reference)
	for _, e := range evidence.All[*evidence.Fitted](file) { // latest first
		slot := e.Data.Slot
		if _, later := f.looks[slot]; later {
			continue
		}
		f.looks[slot] = shop.SearchKey(fittedWords(e.Data, ref))
		f.Box = f.Box || slot == evidence.Box && !e.Data.Absent
		said = append(said, f.looks[slot])
	}
	for _, c := range evidence.All[*evidence.Claim](file) { // until somebody looked at the part
		if slot := evidence.Slot(c.Data.About); slot.Valid() && f.looks[slot] == "" {
			f.looks[slot] = shop.SearchKey(c.Data.Text)
			said = append(said, f.looks[slot])
		}
	}
	for _, p := range o.Parts {
		said = append(said, p.VariantName)
	}
	for _, e := range evidence.All[*evidence.Finding](file) {
		t, ok := condition.Lookup(e.Data.Term)
		if !ok || !t.Good && e.Data.Severity == 0 {
			continue
		}
		if f.Terms[t.ID] == nil {
			f.Terms[t.ID] = map[evidence.Slot]bool{}
		}
		f.Terms[t.ID][e.Data.Slot] = true
		said = append(said, t.Name)
	}
	f.words = shop.SearchKey(strings.Join(said, "\n"))
	return f
}

// fittedWords is what is said of a part that is fitted.
func fittedWords(d *evidence.Fitted, ref *refbook.Reference) string {
	said := []string{d.Description}
	if ref == nil {
		return d.Description
	}
	if s, ok := ref.Slot(d.Slot); ok {
		if v, ok := s.Variant(d.Variant); ok {
			said = append(said, variantWords(*v))
		}
	}
	return strings.Join(said, "\n")
}

// variantWords is what the book says of a version of a part.
func variantWords(v refbook.Variant) string {
	said := []string{v.Name, v.Look, v.Premium}
	for _, t := range v.Traits {
		said = append(said, t)
	}
	return strings.Join(said, "\n")
}

// onCase are the parts that are meant where a watch is called polished.
var onCase = []evidence.Slot{evidence.Case, evidence.Bezel, evidence.CaseBack}

// has reports whether one of some terms is recorded of one of some parts; of any part where none is named.
func (f *Facts) has(terms []string, slots ...evidence.Slot) bool {
	for _, t := range terms {
		if len(slots) == 0 && len(f.Terms[t]) > 0 {
			return true
		}
		for _, s := range slots {
			if f.Terms[t][s] {
				return true
			}
		}
	}
	return false
}

// polishing are the terms by which metal was taken off.
var polishing = []string{"polished", "lugs_thinned"}

func (f *Facts) polished() bool { return f.has(polishing, onCase...) }

// unpolished holds where the case is recorded so, and nothing on it speaks against it.
func (f *Facts) unpolished() bool {
	return f.has([]string{"unpolished"}, evidence.Case) && !f.has(polishing, evidence.Case)
}

func (f *Facts) papers() bool { return f.Set == "papers" || f.Set == "full" }

// madeWithin reports whether the 90 % range of the date reaches into some years.
func (f *Facts) madeWithin(first, last int) bool {
	return f.First != 0 && f.First <= last && f.Last >= first
}
