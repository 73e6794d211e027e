package refbook

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"midcase/edtf"
)

// A reference joined to a file is read back beside those that were there, and no line of
// the file is lost.
func TestJoin(t *testing.T) {
	text, err := os.ReadFile("testdata/good/corvane.yaml")
	if err != nil {
		t.Fatal(err)
	}
	before, problems := ReadMaker("corvane.yaml", text)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	made, err := edtf.Parse("1958/1964")
	if err != nil {
		t.Fatal(err)
	}
	add := Maker{
		Families: []Family{{ID: "joined", Name: "Joined", Kind: "diver"}},
		Metals:   []Metal{before.Metals[0]},
		Calibres: []Calibre{{ID: "Zz 9", BeatsPerHour: 18000}},
		References: []Reference{
			{ID: "Z-1", Family: "joined", Made: made, Metal: before.Metals[0].ID, Calibres: []string{"Zz 9"},
				Serial: []string{}},
			before.References[0],
		},
	}
	joined, had, err := Join(text, add)
	if err != nil {
		t.Fatal(err)
	}
	if len(had) != 1 || had[0] != before.References[0].ID {
		t.Errorf("already there: %v; want %s", had, before.References[0].ID)
	}
	book, err := Load(fstest.MapFS{"corvane.yaml": {Data: joined}})
	if err != nil {
		t.Fatalf("%v\n%s", err, joined)
	}
	_, _, ok := book.Reference("corvane", "Z-1")
	if !ok || len(book.Makers[0].References) != len(before.References)+1 {
		t.Errorf("the joined reference is not in the book")
	}
	rest := string(joined)
	for _, line := range strings.Split(string(text), "\n") {
		at := strings.Index(rest, line)
		if at < 0 {
			t.Fatalf("lost or moved: %q", line)
		}
		rest = rest[at+len(line):]
	}
}

// A file without the list gets one.
func TestJoinBeginsAList(t *testing.T) {
	joined, _, err := Join([]byte("schema: 1\nid: \"orlo\"\nname: \"Orlo\"\n"), Maker{Families: []Family{{ID: "sea", Name: "Sea", Kind: "diver"}}})
	if err != nil {
		t.Fatal(err)
	}
	book, err := Load(fstest.MapFS{"orlo.yaml": {Data: joined}})
	if err != nil || len(book.Makers[0].Families) != 1 {
		t.Errorf("%v\n%s", err, joined)
	}
}
