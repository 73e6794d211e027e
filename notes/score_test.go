package notes_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"midcase/notes"
	"midcase/refbook"
)

// goldItem is an item that a careful reader finds, or must not find.
type goldItem struct {
	Kind     string         `json:"kind"`
	Data     map[string]any `json:"data"`
	Text     string         `json:"text"`
	Optional bool           `json:"optional"`
	Negated  bool           `json:"negated"`
	Or       []goldItem     `json:"or"`
}

type gold struct {
	Maker     string     `json:"maker"`
	Reference string     `json:"reference"`
	Items     []goldItem `json:"items"`
	MustNot   []goldItem `json:"must_not"`
}

// readItem is a proposal as the JSON of a reading has it.
type readItem struct {
	Kind string         `json:"kind"`
	Data map[string]any `json:"data"`
	Text string         `json:"text"`
}

// score is what a reading comes to beside its gold.
type score struct{ required, found, proposals, right, opposite int }

// loose fields are not compared.
var loose = map[string]bool{
	"where":       true,
	"note":        true,
	"description": true,
	"confidence":  true,
	"about":       true,
	"from":        true,
	"price":       true,
}

// same reports whether a proposal is the gold's item: every field that the gold gives is
// right. A severity may differ by one, but never between a fault and a good point.
func (g goldItem) same(r readItem) bool {
	if g.Kind != r.Kind || g.Kind == "fitted" && g.Data["absent"] == nil && r.Data["absent"] == true {
		return false
	}
	for k, want := range g.Data {
		got := r.Data[k]
		switch {
		case k == "severity":
			w, okW := want.(float64)
			v, ok := got.(float64)
			if !ok || !okW || (w == 0) != (v == 0) || math.Abs(w-v) > 1 {
				return false
			}
		case k == "position" && got == nil, loose[k], k == "variant" && want == "unknown":
		case k == "text" && g.Kind == "mark":
			if strings.Trim(plain(want), "?") != strings.Trim(plain(got), "?") {
				return false
			}
		case k == "metal":
			if got == nil ||
				!strings.HasPrefix(plain(want), plain(got)) && !strings.HasPrefix(plain(got), plain(want)) {
				return false
			}
		case plain(want) != plain(got):
			return false
		}
	}
	return g.Kind != "claim" || sharesWords(g.Text, r.Text+" "+plain(r.Data["text"]))
}

func plain(v any) string {
	b, _ := json.Marshal(v)
	return strings.ToLower(strings.NewReplacer(" ", "", "\"", "").Replace(string(b)))
}

// sharesWords reports whether half of the gold's words stand in the proposal.
func sharesWords(want, got string) bool {
	words, n := strings.Fields(strings.ToLower(want)), 0
	for _, w := range words {
		if strings.Contains(strings.ReplaceAll(strings.ToLower(got), " ", ""), strings.Trim(w, ".,;")) {
			n++
		}
	}
	return 2*n >= len(words)
}

func (g goldItem) matches(r readItem) bool {
	if g.same(r) {
		return true
	}
	for _, o := range g.Or {
		o.Text = g.Text
		if o.same(r) {
			return true
		}
	}
	return false
}

func scored(g gold, read []readItem) (s score, missed, wrong []string) {
	taken := make([]bool, len(read))
	for _, optional := range []bool{false, true} {
		for _, it := range g.Items {
			if it.Optional != optional {
				continue
			}
			found := false
			for i, r := range read {
				if !taken[i] && it.matches(r) {
					taken[i], found = true, true
					break
				}
			}
			if !optional {
				s.required++
				if found {
					s.found++
				} else {
					missed = append(missed, it.Text)
				}
			}
		}
	}
	s.proposals = len(read)
	for i, r := range read {
		ok := taken[i]
		for _, it := range g.Items {
			ok = ok || it.matches(r)
		}
		for _, m := range g.MustNot {
			if !taken[i] && len(m.Data) > 0 && m.same(r) {
				ok = false
				if m.Negated {
					s.opposite++
				}
			}
		}
		if ok {
			s.right++
		} else {
			wrong = append(wrong, r.Kind+" "+plain(r.Data))
		}
	}
	return s, missed, wrong
}

func loadBook(t testing.TB) *refbook.Book {
	t.Helper()
	book, err := refbook.Load(os.DirFS("testdata/book"))
	if err != nil {
		t.Fatal(err)
	}
	return book
}

// wire is a value as its JSON says it.
func wire[T any](t testing.TB, v any) T {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var out T
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func fileOf[T any](t testing.TB, name string) T {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var out T
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return out
}

type reading struct {
	Items  []readItem   `json:"items"`
	Unread []notes.Span `json:"unread"`
}
