package compare

import (
	"fmt"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
	"midcase/refbook"
)

// Side is one of the two that stand beside each other: a watch of the shop with the
// opinion on it, or, where Watch is nil, what the book expects of a reference.
type Side struct {
	Key     string // as in the page's address: a watch's id, or Book
	Watch   *shop.Watch
	Opinion opinion.Opinion
	File    evidence.File
	Example bool // it is the reference example

	maker     *refbook.Maker
	reference *refbook.Reference
	expects   map[evidence.Slot]string // of the book alone
}

// Book is the key of the book's expectation.
const Book = "book"

// OfWatch is the side of a watch. Where the reference is in the book, its sizes and
// weights are known beside.
func OfWatch(w shop.Watch, o opinion.Opinion, f evidence.File, book *refbook.Book) Side {
	s := Side{Key: string(w.ID), Watch: &w, Opinion: o, File: f}
	s.maker, s.reference, _ = book.Reference(w.Maker, w.Reference)
	return s
}

// OfBook is the side of the book: what it expects of the reference that another side
// is of, in the time when that one was made.
func OfBook(other Side) (Side, bool) {
	if other.reference == nil {
		return Side{}, false
	}
	ref := other.reference
	s := Side{Key: Book, maker: other.maker, reference: ref, expects: map[evidence.Slot]string{}}
	made := other.Opinion.Dating
	for _, slot := range ref.Slots {
		s.expects[slot.Slot] = expected(slot, made)
	}
	for _, p := range other.Opinion.Parts {
		var names []string
		for _, e := range p.Expected {
			if len(names) < 3 && e.Variant != evidence.Unknown && e.P >= 0.02 {
				names = append(names, fmt.Sprintf("%s (%.0f %%)", e.Name, 100*e.P))
			}
		}
		if len(names) > 0 {
			s.expects[p.Slot] = strings.Join(names, ", ")
		}
	}
	return s, true
}

// expected names the versions whose windows meet the time when a watch was made.
func expected(slot refbook.Slot, made opinion.Dating) string {
	var names []string
	for _, v := range slot.Variants {
		for _, w := range v.Windows {
			if meets(w.Made, made) {
				names = append(names, v.Name)
				break
			}
		}
	}
	return strings.Join(names, " or ")
}

func meets(window edtf.Date, made opinion.Dating) bool {
	if !made.Known {
		return true
	}
	first, hasFirst := window.FirstMonth()
	last, hasLast := window.LastMonth()
	return (!hasFirst || first <= made.Interval90[1]) && (!hasLast || last >= made.Interval90[0])
}

// Name heads the side's column.
func (s Side) Name() string {
	switch {
	case s.Watch == nil:
		return "The book expects"
	case s.Example:
		return fmt.Sprintf("File %d, the reference example", s.Watch.Number)
	}
	return fmt.Sprintf("File %d", s.Watch.Number)
}

// Title says what it is.
func (s Side) Title() string {
	if s.Watch == nil {
		return strings.TrimSpace(s.maker.Name + " " + s.reference.ID + " " + s.reference.Name)
	}
	return s.Opinion.Watch.Title
}

// Link leads to the file or the book's entry.
func (s Side) Link() string {
	if s.Watch == nil {
		return "/book/" + refbook.Path(s.maker.ID, s.reference.ID)
	}
	return "/watches/" + string(s.Watch.ID)
}

// Made is when it was made, in words.
func (s Side) Made() string {
	switch {
	case s.Watch == nil:
		return wording.Span(s.reference.Made.String())
	case !s.Opinion.Dating.Known:
		return "cannot tell"
	}
	return wording.Months(s.Opinion.Dating.Interval90)
}

func (s Side) part(slot evidence.Slot) (opinion.Part, bool) {
	for _, p := range s.Opinion.Parts {
		if p.Slot == slot {
			return p, true
		}
	}
	return opinion.Part{}, false
}

func (s Side) grade(slot evidence.Slot) (opinion.SlotGrade, bool) {
	for _, g := range s.Opinion.Condition.Slots {
		if g.Slot == slot && g.Grade != nil {
			return g, true
		}
	}
	return opinion.SlotGrade{}, false
}

func (s Side) measure(what string) (opinion.Measure, bool) {
	for _, m := range s.Opinion.Measured {
		if m.What == what {
			return m, true
		}
	}
	return opinion.Measure{}, false
}

// photos are the pictures by what they show, the latest of each view.
func (s Side) photos() map[string]*evidence.Photo {
	out := map[string]*evidence.Photo{}
	for _, p := range evidence.All[*evidence.Photo](s.File) {
		if _, has := out[p.Data.View]; !has {
			out[p.Data.View] = p.Data
		}
	}
	return out
}

// Pair is one view of both; nil where a side has no such picture.
type Pair struct {
	View string
	A, B *evidence.Photo
}

// Pairs are the pictures of two watches view by view; those that both have come first.
func Pairs(a, b Side) []Pair {
	if a.Watch == nil || b.Watch == nil { // the book has no pictures
		return nil
	}
	pa, pb := a.photos(), b.photos()
	var both, one []Pair
	for _, view := range evidence.PhotoViews() {
		p := Pair{view, pa[view], pb[view]}
		switch {
		case p.A != nil && p.B != nil:
			both = append(both, p)
		case p.A != nil || p.B != nil:
			one = append(one, p)
		}
	}
	return append(both, one...)
}
