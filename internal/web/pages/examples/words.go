package examples

import (
	"context"
	"fmt"
	"net/url"
	"strings"

	"github.com/a-h/templ"

	"midcase/evidence"
	learned "midcase/examples"
	"midcase/internal/chart"
	"midcase/internal/shop"
	"midcase/internal/web/pages/wording"
	"midcase/refbook"
	"midcase/say"
)

// Path is the address of the examples of a reference.
func Path(m *refbook.Maker, ref *refbook.Reference) string {
	return "/book/" + refbook.Path(m.ID, ref.ID) + "/examples"
}

// VersionName is a version by the name that the book gives it, with its id, by which the drawing names it.
func VersionName(ref *refbook.Reference, slot evidence.Slot, id string) string {
	for _, s := range ref.Slots {
		if v, ok := s.Variant(id); ok && s.Slot == slot && v.Name != "" {
			return v.Name + " (" + id + ")"
		}
	}
	return id
}

func (d Data) adding() templ.SafeURL {
	return templ.SafeURL("/examples/new?reference=" + url.QueryEscape(d.Maker.Name+" "+d.Reference.ID))
}

func made(m learned.Dot) string {
	if m.SD < 1 {
		return m.Month.String()
	}
	return fmt.Sprintf("%s ± %.0f months", m.Month, m.SD)
}

// parts are the versions of an example in the order of the slots.
func parts(e shop.SeenExample) string {
	var out []string
	for _, slot := range evidence.Slots() {
		if v := e.Parts[slot]; v != "" {
			out = append(out, slot.Name()+" "+v)
		}
	}
	return strings.Join(out, ", ")
}

func dated(e shop.SeenExample) string {
	if e.Made.IsZero() {
		return ""
	}
	if e.DatedBy == "" {
		return e.Made.String()
	}
	return e.Made.String() + ", " + e.DatedBy
}

// Unit is a change of the book that is accepted as a whole.
type Unit struct {
	Number    int
	Proposals []learned.Proposal
}

// Units are the changes that a slot speaks for.
func Units(s learned.Slot) []Unit {
	var out []Unit
	for _, p := range s.Proposals {
		if len(out) == 0 || out[len(out)-1].Number != p.Unit {
			out = append(out, Unit{Number: p.Unit})
		}
		u := &out[len(out)-1]
		u.Proposals = append(u.Proposals, p)
	}
	return out
}

// Sum names what is accepted, so that a page that is out of date accepts nothing else.
func (u Unit) Sum() string {
	var out []string
	for _, p := range u.Proposals {
		out = append(out, p.Variant+" "+p.Made.String())
	}
	return strings.Join(out, "; ")
}

// telling are the slots of which there is something to see, and quiet the others.
func telling(l learned.Learned) (told, quiet []learned.Slot) {
	for _, s := range l.Slots {
		if versions(s) > 1 {
			told = append(told, s)
		} else {
			quiet = append(quiet, s)
		}
	}
	return told, quiet
}

// versions is how many versions were seen.
func versions(s learned.Slot) int {
	seen := map[string]bool{}
	for _, e := range s.Dots {
		seen[e.Variant] = true
	}
	return len(seen)
}

func drawn(ctx context.Context, s learned.Slot, f chart.Format) templ.Component {
	return chart.Versions(s, f, say.Writer{Catalogue: say.InEnglish(), Locale: wording.ReaderOf(ctx).Locale})
}

// bookMonth is where the book has a number; “outside” where that is not in the range of the examples.
func bookMonth(p learned.CurvePoint) string {
	switch {
	case p.Book == 0:
		return ""
	case p.Off:
		return p.Book.String() + ", outside"
	}
	return p.Book.String()
}
