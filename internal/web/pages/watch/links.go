package watch

import (
	"context"
	"fmt"
	"net/url"
	"strings"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
)

func base(d Data) string { return "/watches/" + url.PathEscape(string(d.Watch.ID)) }

func asOfQuery(d Data) string {
	if d.AsOf == "" {
		return ""
	}
	return "?as-of=" + url.QueryEscape(d.AsOf)
}

// basisLink is where the thing that a figure stands on can be opened.
func basisLink(d Data, b opinion.Basis) string {
	switch b.Source {
	case estimate.Evidence:
		return "#" + b.ID
	case estimate.Sale:
		return "/sales/" + url.PathEscape(b.ID)
	case estimate.Book:
		return bookLink(d, b.ID)
	}
	return "/settings"
}

// bookLink leads to an entry of the book: a reference or, by the rest of the path, a
// line of its page; what belongs to the maker leads to the maker's page. A version
// that the reference does not have leads to the slot, whose versions it is none of.
func bookLink(d Data, id string) string {
	maker, rest, _ := strings.Cut(id, "/")
	reference, line, _ := strings.Cut(rest, "/")
	_, ref, ok := d.Book.Reference(maker, reference)
	if !ok {
		return "/book/" + url.PathEscape(maker) + "#" + rest
	}
	to := "/book/" + url.PathEscape(maker) + "/" + url.PathEscape(reference)
	slot, variant, named := strings.Cut(line, "/")
	if s, isSlot := ref.Slot(evidence.Slot(slot)); isSlot && named {
		if _, has := s.Variant(variant); !has {
			line = slot
		}
	}
	if line == "" {
		return to
	}
	return to + "#" + line
}

// basisWords says what a basis is: the item of evidence itself, the book's entry, the
// sale.
func basisWords(ctx context.Context, d Data, b opinion.Basis) string {
	switch b.Source {
	case estimate.Evidence:
		for _, it := range d.File.Items {
			if string(it.ID) == b.ID {
				return "evidence: " + wording.Say(ctx, evidence.Described(it, true))
			}
		}
	case estimate.Sale:
		for _, c := range d.Opinion.Value.Comparables {
			if c.Sale == b.ID {
				return "sale: " + c.Title + ", " + c.Date
			}
		}
	case estimate.Book:
		if parts := strings.SplitN(b.ID, "/", 3); len(parts) == 3 {
			return "book: " + parts[1] + ", " + strings.NewReplacer("/", " ", "_", " ").Replace(parts[2])
		}
		return "book: " + strings.ReplaceAll(b.ID, "/", " ")
	}
	return string(b.Source) + " " + b.ID
}

// sideWords is one side of a disagreement.
func sideWords(ctx context.Context, d Data, b opinion.Basis) string {
	return clause(strings.TrimPrefix(basisWords(ctx, d, b), "evidence: "), 0)
}

func count(n int) string { return fmt.Sprintf("basis (%d)", n) }

func verdictClass(v string) string { return strings.ReplaceAll(v, " ", "-") }

// clause writes a part of the summary; the first begins the sentence.
func clause(text string, i int) string {
	if i == 0 && text != "" {
		return strings.ToUpper(text[:1]) + text[1:]
	}
	return text
}

func stop(i, n int) string {
	if i == n-1 {
		return "."
	}
	return "; "
}

func reason(w evidence.Withdrawn) string {
	if d, ok := w.Withdrawal.Data.(*evidence.Withdrawal); ok {
		return d.Reason
	}
	return ""
}
