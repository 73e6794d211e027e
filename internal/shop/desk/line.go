package desk

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/money"
	"midcase/notes"
	"midcase/refbook"
	"midcase/tables"
)

// Figures of a number that stands by itself in a line: a year has four, a serial number five
// or more, and the last number is the price.
const (
	figuresOfYear   = 4
	figuresOfSerial = 5
)

// Heard reads one line, or a sentence or two, said or typed at the counter, such as
// “KR-1 414459 silver dial box 5200”: the inquiry, with what was seen at a glance. Words that
// were not understood stand in its note.
func (r *Room) Heard(ctx context.Context, line string) (Inquiry, error) {
	book := r.shop.Book(ctx)
	read := notes.Read(line, notes.Options{Book: book, Year: r.shop.Now().Year()})
	if read.Reference == "" {
		return Inquiry{}, shop.Refuse("counter offer", "line", strconv.Quote(line),
			"a line that begins with a reference of the book, such as KR-1 414459 box 5200")
	}
	q := Inquiry{Reference: read.Maker + " " + read.Reference}
	box, papers := false, false
	for _, it := range read.Items {
		switch d := it.Data.(type) {
		case *evidence.Mark:
			if d.What == evidence.MarkSerial && q.Serial == "" {
				q.Serial = d.Text
				continue
			}
		case *evidence.Claim:
			if !d.Price.IsZero() {
				q.Asked = d.Price
				continue
			}
		case *evidence.Fitted:
			if d.Slot == evidence.Case && d.Metal != "" {
				q.Metal = d.Metal
				continue
			}
			box = box || d.Slot == evidence.Box && !d.Absent
			papers = papers || d.Slot == evidence.Papers && !d.Absent
		}
		q.Seen = append(q.Seen, it.Data)
	}
	lower := strings.ToLower(line)
	papers = papers || strings.Contains(lower, "papers") && !strings.Contains(lower, "no papers") &&
		!strings.Contains(lower, "without papers")
	switch {
	case strings.Contains(lower, "full set") || box && papers:
		q.Set = "full"
	case papers:
		q.Set = "papers"
	}
	for _, u := range read.Unread {
		q.unread(u.Text, r.shop.Now().Year(), r.shop.Currency())
	}
	if _, ref, ok := book.Reference(read.Maker, read.Reference); ok {
		q.dialNamed(ref)
	}
	return q, nil
}

// unread takes numbers and metals from words that the notes' reader left; the rest is kept.
func (q *Inquiry) unread(text string, year int, currency money.Currency) {
	var left []string
	for _, w := range strings.Fields(text) {
		n, err := strconv.Atoi(w)
		metal, isMetal := tables.MetalNamed(w)
		price, perr := money.Parse(w, string(currency))
		switch {
		case err == nil && len(w) >= figuresOfSerial && q.Serial == "":
			q.Serial = w
		case err == nil && len(w) == figuresOfYear && n >= 1900 && n <= year && q.Year == 0 && q.Serial == "":
			q.Year = n
		case err == nil && perr == nil && n > 0 && q.Asked.IsZero():
			q.Asked = price
		case isMetal && q.Metal == "":
			q.Metal = metal
		default:
			left = append(left, w)
		}
	}
	if len(left) > 0 {
		q.Note = strings.TrimSpace(q.Note + " " + strings.Join(left, " "))
	}
}

// glance is how sure a version is that was named by its colour over the counter.
const glance = 0.7

// dialNamed takes the version of the dial of which alone the words left speak.
func (q *Inquiry) dialNamed(ref *refbook.Reference) {
	s, ok := ref.Slot(evidence.Dial)
	words := strings.Fields(strings.ToLower(q.Note))
	if !ok || !slices.Contains(words, "dial") {
		return
	}
	var fit []refbook.Variant
	for _, v := range s.Variants {
		if !v.Service && v.Premium != "" && slices.Contains(words, strings.ToLower(v.Premium)) {
			fit = append(fit, v)
		}
	}
	if len(fit) == 1 {
		q.Seen = append(q.Seen, &evidence.Fitted{Slot: evidence.Dial, Variant: fit[0].ID, Confidence: glance})
	}
}
