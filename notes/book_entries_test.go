package notes_test

import (
	"os"
	"strings"
	"testing"

	"midcase/notes"
	"midcase/refbook"
)

// What a notebook says becomes a book that is right as a whole, and each value that
// nobody said is listed.
func TestEntriesAreABook(t *testing.T) {
	for _, name := range []string{"tarnholt", "pellisard", "ostrander", "veldhuys", "brenneke", "orvandel", "grevenau", "sallowick"} {
		t.Run(name, func(t *testing.T) {
			text, err := os.ReadFile("testdata/notebooks/" + name + ".txt")
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range notes.ReadBook(string(text), "").Makers {
				maker, assumed := m.Entries("notebook, 2026-03-01")
				if _, err := refbook.New(maker); err != nil {
					t.Errorf("%s: %v", m.Name, err)
				}
				if len(maker.References) != len(m.References) {
					t.Errorf("%s: %d references of %d", m.Name, len(maker.References), len(m.References))
				}
				if len(assumed) == 0 {
					t.Errorf("%s: nothing assumed, though the notes give no beat", m.Name)
				}
			}
		})
	}
}

func TestEntriesSayWhatIsAssumed(t *testing.T) {
	r := notes.ReadBook("Orlo\n\nK-1: diver, 1958 to 1964, 37 mm, cal. Or 2. Dial grey 1959 to 1961, black from 1962.\n\nK-2: diver in steel, 36 mm.\n\n"+
		"Serials: 5,000 in 1959, 9,000 in 1958.", "")
	maker, assumed := r.Makers[0].Entries("notes")
	var b strings.Builder
	for _, a := range assumed {
		b.WriteString(a.About + ": " + a.Says + "\n")
	}
	for _, want := range []string{
		"K-1: case of steel: no metal was named",
		"K-1: calibre Or 2 beats 18000 times an hour: not said",
		"K-1: dial: the first version is taken to have been there from the start",
		"K-2: left out of the book: not said when it was made",
		"one milestone makes no line of numbers",
		"9000 in 1958-06 is left out",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("nothing says %q; assumed:\n%s", want, b.String())
		}
	}
	if len(maker.References) != 1 || maker.References[0].ID != "K-1" {
		t.Errorf("references %+v; want K-1 alone", maker.References)
	}
}
