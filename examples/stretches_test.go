package examples_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/examples"
	"midcase/refbook"
)

// sideBySide has two dials of a first mark and two of a second, its change two years late, and hands in two steps.
const sideBySide = `schema: 1
id: lindgard
name: Lindgard
metals: [{id: steel, name: Steel}]
calibres: [{id: "L-2", beats_per_hour: 18000, jewels: 15, winding: hand}]
families: [{id: field, name: Field, kind: time_only}]
references:
  - id: L-9
    name: Field watch
    family: field
    made: 1960/1969
    metal: steel
    calibres: ["L-2"]
    serial: []
    slots:
      - slot: dial
        replaced: 0.1
        variants:
          - {id: white-1, name: White dial 1, windows: [{made: 1960/1966, share: 0.5}]}
          - {id: black-1, name: Black dial 1, windows: [{made: 1960/1966, share: 0.5}]}
          - {id: white-2, name: White dial 2, windows: [{made: 1967/1969, share: 0.5}]}
          - {id: black-2, name: Black dial 2, windows: [{made: 1967/1969, share: 0.5}]}
      - slot: hands
        replaced: 0.1
        variants:
          - {id: leaf, name: Leaf hands, windows: [{made: 1960/1963}]}
          - {id: baton, name: Baton hands, windows: [{made: 1964/1969}]}
`

// seenIn draws examples over ten years; parts gives what was fitted in a year.
func seenIn(r *rand.Rand, n int, parts func(year float64) map[evidence.Slot]string) []examples.Example {
	var out []examples.Example
	for i := range n {
		m := edtf.MonthOf(1960, 1) + edtf.Month(r.IntN(120))
		out = append(out, examples.Example{ID: fmt.Sprint("no. ", i), Maker: "Lindgard", Reference: "L-9",
			Made: edtf.MustParse(m.String()), Parts: parts(1960 + float64(m-edtf.MonthOf(1960, 1))/12)})
	}
	return out
}

func bookOf(t *testing.T, text string) *refbook.Book {
	t.Helper()
	b, err := refbook.LoadTexts(map[string][]byte{"lindgard.yaml": []byte(text)})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Dials supplied side by side change together; hands that came back get two windows. The book is corrected and loads.
func TestSideBySideAndBack(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 1))
	seen := seenIn(r, 90, func(year float64) map[evidence.Slot]string {
		mark, hands := "1", "leaf"
		if year >= 1965 {
			mark = "2"
		}
		if year >= 1963.5 && year < 1966.5 {
			hands = "baton"
		}
		return map[evidence.Slot]string{evidence.Dial: []string{"white-", "black-"}[r.IntN(2)] + mark,
			evidence.Hands: hands}
	})
	l := examples.LearnAll(bookOf(t, sideBySide), seen, "")[0]
	dial, hands := l.Slots[0], l.Slots[1]
	if len(dial.Transitions) != 1 || len(dial.Proposals) != 4 {
		t.Fatalf("dial: %d changes, %d proposals: %s", len(dial.Transitions), len(dial.Proposals), dial.Says)
	}
	if m := dial.Transitions[0].Month; m < edtf.MonthOf(1964, 9) || m > edtf.MonthOf(1965, 4) {
		t.Errorf("the dials changed in %s; want January 1965", m)
	}
	if len(hands.Transitions) != 2 || hands.Versions[0].ID != "leaf" || hands.Versions[0].Again.IsZero() {
		t.Fatalf("hands: %+v", hands)
	}
	text, left := examples.Edit([]byte(sideBySide), []examples.Learned{l})
	if len(left) > 0 {
		t.Fatalf("by hand: %v", left)
	}
	b := bookOf(t, string(text))
	_, ref, _ := b.Reference("lindgard", "L-9")
	book, _ := ref.Slot(evidence.Hands)
	if leaf, _ := book.Variant("leaf"); len(leaf.Windows) != 2 {
		t.Errorf("leaf hands have %d windows:\n%s", len(leaf.Windows), text)
	}
	if !strings.Contains(string(text), "share: 0.5") {
		t.Error("the shares are gone")
	}
	for _, s := range examples.LearnAll(b, seen, "")[0].Slots {
		if len(s.Proposals) > 0 {
			t.Errorf("learned again, the %s would change: %+v", s.Slot, s.Proposals)
		}
	}
}

// What was fitted side by side all the time is no step, and the book stays.
func TestSideBySideThroughout(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(6, 2))
	seen := seenIn(r, 40, func(float64) map[evidence.Slot]string {
		return map[evidence.Slot]string{evidence.Dial: []string{"white-1", "black-1"}[r.IntN(2)]}
	})
	s := examples.LearnAll(bookOf(t, sideBySide), seen, "")[0].Slots[0]
	if len(s.Proposals) != 0 || s.Says.Kind != "learn.together" {
		t.Errorf("%s, %+v", s.Says, s.Proposals)
	}
}

// A handful of examples, one of them with another of two versions that the book has side by side, says nothing yet.
func TestHandfulSaysNothing(t *testing.T) {
	t.Parallel()
	seen := []examples.Example{dated(0, 1961, ""), dated(1, 1962, ""), dated(2, 1963, ""), dated(3, 1964, ""),
		dated(4, 1965, ""), dated(5, 1966, "")}
	for i := range seen {
		seen[i].Parts = map[evidence.Slot]string{evidence.Dial: []string{"white-1", "black-1"}[i/5]}
	}
	s := examples.LearnAll(bookOf(t, sideBySide), seen, "")[0].Slots[0]
	if s.Says.Kind != "learn.thin" || len(s.Misfits)+len(s.Proposals) > 0 {
		t.Errorf("%s, misfits %+v", s.Says, s.Misfits)
	}
}
