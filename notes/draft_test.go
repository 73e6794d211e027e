package notes

import (
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// A reference that is shown in fields and sent back unchanged is the same to the last leaf, and one changed field
// changes no other leaf. The books are those kept for the readers.
func TestDraftOfABookComesBackTheSame(t *testing.T) {
	files, err := filepath.Glob("testdata/book/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal(err, len(files))
	}
	n := 0
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		m, problems := refbook.ReadMaker(name, text)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		for _, ref := range m.References {
			if got := sentBack(t, &m, ref, func(*Draft) {}); !reflect.DeepEqual(got, ref) {
				t.Errorf("%s %s came back changed:\n%+v\n%+v", m.Name, ref.ID, got, ref)
			}
			got := sentBack(t, &m, ref, func(d *Draft) { d.Parts[0].Versions[0].Look = "seen from above" })
			want := ref
			want.Slots = slices.Clone(ref.Slots)
			want.Slots[0].Variants = slices.Clone(ref.Slots[0].Variants)
			want.Slots[0].Variants[0].Look = "seen from above"
			if !reflect.DeepEqual(got, want) {
				t.Errorf("%s %s: more than the look changed:\n%+v\n%+v", m.Name, ref.ID, got, want)
			}
			n++
		}
	}
	if n < 6 {
		t.Errorf("%d references tried", n)
	}
}

func sentBack(t *testing.T, m *refbook.Maker, ref refbook.Reference, change func(*Draft)) refbook.Reference {
	t.Helper()
	now := DraftOf(m, &ref)
	change(&now)
	read, problems := now.Read()
	if len(problems) > 0 {
		t.Fatalf("%s %s: %v", m.Name, ref.ID, problems)
	}
	entry, _ := now.Entries(read, m, "a test")
	return Amended(ref, entry.References[0], DraftOf(m, &ref), now)
}

func TestDraftOfANewReference(t *testing.T) {
	d := Draft{Maker: "Pellward", Reference: "P 6", Family: "diver", Made: "about 1962 to 1970", Metal: "gold14",
		Calibres: []DraftCalibre{{Name: "Pw 3", Beats: "19,800", Jewels: "17"}},
		Sizes:    []DraftSize{{What: "mid_case_diameter", MM: "37,2 mm"}},
		Parts: []DraftPart{{Slot: evidence.Dial, Replaced: "often", Versions: []DraftVersion{
			{Name: "black, gilt print", When: "until about 1966"},
			{Name: "black, white print", When: "from early 1966, rare at first", Look: "white  print"},
			{Name: "repair dial", Service: true, When: "from 1971"}}}},
		Numbers: []DraftNumber{{At: "numbers.0.0", Number: "about 12,000", When: "1962"},
			{At: "numbers.0.1", Number: "40k", When: "early 1970", Source: "a receipt"}}}
	read, problems := d.Read()
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	m, assumed := d.Entries(read, nil, "a notebook")
	ref := m.References[0]
	dial := ref.Slots[0]
	for _, c := range []struct{ what, got, want string }{
		{"made", ref.Made.String(), "1962/1970"},
		{"metal", ref.Metal, "gold14"},
		{"calibre", ref.Calibres[0], "Pw 3"},
		{"first dial", dial.Variants[0].Windows[0].Made.String(), "1962/1966"},
		{"second dial", dial.Variants[1].Windows[0].Made.String(), "1966-02/1970"},
		{"look", dial.Variants[1].Look, "white print"},
		{"supplied", dial.Variants[2].Supplied.String(), "1971/.."},
		{"first number", m.Serials[0].Anchors[0].Month.String(), "1962-06"},
		{"its source", m.Serials[0].Anchors[0].Source, "a notebook"},
		{"second source", m.Serials[0].Anchors[1].Source, "a receipt"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %s, want %s", c.what, c.got, c.want)
		}
	}
	if !dial.Variants[2].Service {
		t.Errorf("the repair dial: %+v", dial.Variants[2])
	}
	if dial.Replaced != 0.4 || m.Calibres[0].BeatsPerHour != 19800 || ref.Dimensions[0].MM != 37.2 {
		t.Errorf("replaced %g, beats %d, mm %g", dial.Replaced, m.Calibres[0].BeatsPerHour, ref.Dimensions[0].MM)
	}
	for _, a := range assumed {
		if strings.Contains(a.Says, "beats") || strings.Contains(a.Says, "dial: 15") {
			t.Errorf("assumed although it was said: %s", a.Says)
		}
	}
}

func TestDraftSaysWhatIsWrong(t *testing.T) {
	d := Draft{Made: "blue", Calibres: []DraftCalibre{{Name: "x", Beats: "7"}}, Sizes: []DraftSize{{What: "thickness", MM: "thin"}},
		Parts: []DraftPart{{Slot: evidence.Hands, Replaced: "most of them", Versions: []DraftVersion{
			{When: "until 1966"}}}},
		Numbers: []DraftNumber{{At: "numbers.0.0", Number: "12", When: "some day"}}}
	_, problems := d.Read()
	var got []string
	for _, p := range problems {
		got = append(got, p.Field)
	}
	want := []string{"maker", "numbers.0.0.when", "reference", "made", "calibres.0.beats", "sizes.0.mm", "parts.hands.replaced",
		"parts.hands.0.name"}
	if !slices.Equal(got, want) {
		t.Errorf("wrong: %v\nwant %v", got, want)
	}
}

// A milestone that is changed moves alone; the others stay to the letter.
func TestAmendedRun(t *testing.T) {
	run := refbook.Serial{ID: "s", Mark: evidence.MarkSerial, ScatterMonths: 5, Anchors: []refbook.Anchor{
		{Number: 1000, Month: edtf.MonthOf(1960, 3), Source: "a"}, {Number: 2000, Month: edtf.MonthOf(1962, 5), Source: "b"}}}
	d := Draft{Numbers: DraftNumbers(run)}
	if got, problems := AmendedRun(run, d, "new"); len(problems) > 0 || !reflect.DeepEqual(got, run) {
		t.Errorf("unchanged: %+v %v", got, problems)
	}
	d.Numbers[1].When = "early 1963"
	d.Numbers = append(d.Numbers, DraftNumber{Run: "s", Number: "1,500", When: "1961-02"})
	got, _ := AmendedRun(run, d, "new")
	want := []refbook.Anchor{run.Anchors[0], {Number: 1500, Month: edtf.MonthOf(1961, 2), Source: "new"},
		{Number: 2000, Month: edtf.MonthOf(1963, 2), Source: "b"}}
	if !slices.Equal(got.Anchors, want) {
		t.Errorf("%+v\nwant %+v", got.Anchors, want)
	}
}
