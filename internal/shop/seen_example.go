package shop

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/evidence"
)

// SeenExample is a watch that somebody saw and from which the reference book can learn: at a fair, in print, at another
// dealer's. It is only ever added. One that withdraws another has its id in Withdraws and a reason, and nothing more.
type SeenExample struct {
	Seq       int64                    `json:"seq"` // set by the store
	ID        string                   `json:"id"`
	At        time.Time                `json:"at"`
	By        string                   `json:"by"`
	Withdraws string                   `json:"withdraws,omitempty"`
	Why       string                   `json:"why,omitempty" typed:"text"`
	Maker     string                   `json:"maker,omitempty"`
	Reference string                   `json:"reference,omitempty"`
	Serial    string                   `json:"serial,omitempty"`
	Made      edtf.Date                `json:"made,omitzero"`      // by papers, an extract or a stamp, never by a part
	DatedBy   string                   `json:"dated_by,omitempty"` // one of ExampleDatings
	Parts     map[evidence.Slot]string `json:"parts,omitempty"`
	Metal     string                   `json:"metal,omitempty"`
	Country   string                   `json:"country,omitempty"`  // of delivery, ISO 3166
	Place     string                   `json:"place,omitempty"`    // one of ExamplePlaces
	Source    string                   `json:"source,omitempty"`   // which fair, which page
	Sure      float64                  `json:"sure,omitempty"`     // that the parts were named right, 0 to 1; 0 for not said
	Picture   string                   `json:"picture,omitempty"`  // SHA-256
	Likeness  string                   `json:"likeness,omitempty"` // of the picture, 16 hex digits (photo.Likeness)
	// Another is the id of an example with a picture like this one's, of which somebody said that it is another watch.
	Another string `json:"another,omitempty"`
}

// Title names an example in a line.
func (e SeenExample) Title() string {
	words := []string{"seen", e.Maker, e.Reference}
	if e.Serial != "" {
		words = append(words, "no. "+e.Serial)
	}
	if e.Source != "" {
		words = append(words, "("+e.Source+")")
	} else {
		words = append(words, "on "+e.At.Format(time.DateOnly))
	}
	return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
}

// ExamplePlaces are the ways in which examples reach a shop. Each way selects: what is printed is rarely what is common.
func ExamplePlaces() []string {
	return []string{"fair", "dealer", "print", "picture", "collection", "other"}
}

// ExampleDatings are what an example can be dated by.
func ExampleDatings() []string { return []string{"papers", "extract", "stamp", "other"} }

// ExampleStore keeps examples. None is ever changed or deleted.
type ExampleStore interface {
	// AddExamples adds examples, all or none, and returns them as kept. An id that is there already is ErrExists, and
	// so is a second withdrawal of the same one.
	AddExamples(ctx context.Context, all []SeenExample) ([]SeenExample, error)
	// Examples returns all of them in the order of their keeping, withdrawals among them.
	Examples(ctx context.Context) ([]SeenExample, error)
}

// Check lists what is wrong with an example.
func (e SeenExample) Check(now time.Time) error {
	var p evidence.Problems
	need := func(ok bool, field, found, want string) {
		if !ok {
			p = append(p, evidence.Problem{Field: field, Found: found, Want: want})
		}
	}
	if e.Withdraws != "" {
		need(strings.TrimSpace(e.Why) != "", "why", "nothing", "the reason")
		return asInvalid("withdraw an example", p)
	}
	need(e.Maker != "", "maker", "nothing", "the maker")
	need(e.Reference != "", "reference", "nothing", "the reference")
	need(len(e.Parts) > 0, "parts", "nothing", "the version of one part at least, such as the dial")
	need(e.Serial != "" || !e.Made.IsZero(), "serial", "nothing", "a serial number, or the date of manufacture in papers or an extract")
	for slot, version := range e.Parts {
		need(slot.Valid(), "parts", fmt.Sprintf("%q", slot), "a slot such as dial or bezel")
		need(version != "", "parts", "nothing", "the version of the "+slot.Name())
	}
	if first, ok := e.Made.First(); ok {
		need(first.Year() >= 1700 && !first.After(now), "made", fmt.Sprintf("“%s”", e.Made), "a date that is not in the future, such as 1968")
	}
	one := func(field, found string, of []string) {
		need(found == "" || slices.Contains(of, found), field, fmt.Sprintf("“%s”", found), "one of "+strings.Join(of, ", "))
	}
	one("place", e.Place, ExamplePlaces())
	one("dated_by", e.DatedBy, ExampleDatings())
	need(e.Sure >= 0 && e.Sure <= 1, "sure", fmt.Sprint(e.Sure), "a chance from 0 to 1")
	return asInvalid("add an example", p)
}

func asInvalid(what string, p evidence.Problems) error {
	if len(p) == 0 {
		return nil
	}
	return &Invalid{What: what, Problems: p}
}

// StandingExamples are the examples without those that were withdrawn, in the order of their keeping.
func StandingExamples(all []SeenExample) []SeenExample {
	gone := map[string]bool{}
	for _, e := range all {
		gone[e.Withdraws] = true
	}
	out := make([]SeenExample, 0, len(all))
	for _, e := range all {
		if e.Withdraws == "" && !gone[e.ID] {
			out = append(out, e)
		}
	}
	return out
}
