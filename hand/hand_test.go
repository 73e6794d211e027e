package hand_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/hand"
	"midcase/internal/demo"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
	"midcase/telling"
)

// day is after all that the invented world records.
var day = time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC)

var subjects = sync.OnceValues(func() ([]telling.Subject, error) {
	world := demo.NewWorld(1)
	book, err := refbook.Load(world.Book)
	if err != nil {
		return nil, err
	}
	var out []telling.Subject
	for _, w := range world.Watches {
		f := evidence.Fold(w.Evidence, day)
		o, err := opinion.Form(f, book, nil, opinion.Settings{}, day)
		if err != nil {
			return nil, err
		}
		out = append(out, telling.Subject{Opinion: o, File: f, Book: book,
			Offer: telling.Offer{Number: "107", Price: money.MustParse("9850", "EUR")}})
	}
	return out, nil
})

// told calls seen with every text of every watch that may be told of.
func told(t *testing.T, seen func(name string, s telling.Subject, told telling.Told)) {
	t.Helper()
	all, err := subjects()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, s := range all {
		plan, err := telling.Make(s)
		if err != nil {
			continue
		}
		for _, lang := range say.Languages() {
			w, _ := say.In(lang)
			for _, form := range []telling.Form{telling.Page, telling.Catalogue, telling.Message, telling.Post} {
				for _, length := range []int{0, telling.ShortPost} {
					if length > 0 && form != telling.Post {
						continue
					}
					if got, err := plan.Tell(w, form, length); err == nil {
						n++
						seen(fmt.Sprintf("%s %s %s %d", s.Opinion.Watch.Title, form, lang, length), s, got)
					}
				}
			}
		}
	}
	if n < 200 {
		t.Fatalf("%d texts; want those of the whole invented world", n)
	}
}

// What the program wrote is never marked, and applied to itself it stays as it was.
func TestTheProgramsOwnTextIsClean(t *testing.T) {
	t.Parallel()
	told(t, func(name string, s telling.Subject, got telling.Told) {
		r := hand.Check(s, got, got.Text)
		if len(r.Marks) > 0 || len(r.LeftOut) > 0 {
			t.Errorf("%s: %+v", name, r)
		}
		again, err := hand.Apply(s, got, got.Text)
		if err != nil || again.Text != got.Text || !slices.Equal(again.Disclosed, got.Disclosed) {
			t.Errorf("%s: applied to itself: %v\n%s", name, err, again.Text)
		}
		if got.For == telling.Page && len(again.Faults()) != len(got.Faults()) {
			t.Errorf("%s: %d faults, was %d", name, len(again.Faults()), len(got.Faults()))
		}
	})
}

// Each sentence that discloses something is missed when it is left out, in every form and
// language, and comes back where it stood.
func TestADroppedDisclosureIsMissedAndComesBack(t *testing.T) {
	t.Parallel()
	n := 0
	told(t, func(name string, s telling.Subject, got telling.Told) {
		if n++; got.For == telling.Post || n%7 > 0 {
			return // of a post one sentence may stand for several; a seventh of the others is enough
		}
		for _, b := range got.Blocks {
			for _, x := range b.Sentences {
				if len(x.Discloses) == 0 {
					continue
				}
				text := hand.Plain(strings.Replace(got.Text, x.Text, "", 1))
				r := hand.Check(s, got, text)
				for _, d := range x.Discloses {
					if !slices.ContainsFunc(r.LeftOut, func(l hand.Dropped) bool { return l.Finding == d.Finding }) {
						t.Errorf("%s: %q is out and %s is not missed", name, x.Text, d.Finding)
					}
				}
				if _, err := hand.Apply(s, got, text); !errors.As(err, new(*telling.LeftOutError)) {
					t.Errorf("%s: %q is out and the text is taken: %v", name, x.Text, err)
				}
				for range 20 {
					if len(r.LeftOut) == 0 {
						break
					}
					text = hand.PutBack(text, r.LeftOut[0])
					r = hand.Check(s, got, text)
				}
				if same := strings.Join(strings.Fields(text), " "); len(r.Marks)+len(r.LeftOut) > 0 ||
					same != strings.Join(strings.Fields(got.Text), " ") {
					t.Errorf("%s: %q came back as\n%s", name, x.Text, text)
				}
			}
		}
	})
}
