package refbook

import (
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/say"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares got with testdata/name, or writes it with -update.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != string(want) {
		t.Errorf("%s differs; run with -update and look at the change\n%s", name, got)
	}
}

func TestCompareGolden(t *testing.T) {
	c, err := Compare(good(t), "Corvane", "KR-1", "corvane", "KR-2")
	if err != nil {
		t.Fatal(err)
	}
	out, err := json.MarshalIndent(c, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "compare.golden.json", append(out, '\n'))
}

func TestCompareNamesTheMetalFirst(t *testing.T) {
	c, err := Compare(good(t), "Corvane", "KR-1", "Corvane", "KR-2")
	if err != nil {
		t.Fatal(err)
	}
	if c.Differences[0].Feature != "metal" || c.Differences[0].Telling != 1 {
		t.Errorf("first: %+v", c.Differences[0])
	}
	for _, want := range []string{"mid case diameter: 34.8 mm (known as 35.5 mm)", "lug width: 19 mm",
		"complication: chronograph"} {
		if !contains(say.Strings(c.Same), want) {
			t.Errorf("%q is not among what is the same: %v", want, c.Same)
		}
	}
}

func contains(all []string, want string) bool {
	for _, s := range all {
		if s == want {
			return true
		}
	}
	return false
}

// Two references that differ in the bezel alone: that is the one difference.
func TestCompareBezelOnly(t *testing.T) {
	m := good(t).Makers[0]
	twin := m.References[0]
	twin.ID = "KR-3"
	twin.Features = map[string]string{"bezel": "steel, engraved", "crystal": "domed acrylic", "date": "none"}
	m.References = append(append([]Reference(nil), m.References...), twin)
	b, err := New(m)
	if err != nil {
		t.Fatal(err)
	}
	c, err := Compare(b, "Corvane", "KR-1", "Corvane", "KR-3")
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Differences) != 1 || c.Differences[0].Feature != "bezel" {
		t.Errorf("differences: %+v", c.Differences)
	}
}

func TestCompareLaws(t *testing.T) {
	b := good(t)
	type side struct{ maker, ref string }
	sides := []side{{"corvane", "KR-1"}, {"corvane", "KR-2"}, {"solmere", "12/B"}}
	rapid.Check(t, func(t *rapid.T) {
		x, y := rapid.SampledFrom(sides).Draw(t, "a"), rapid.SampledFrom(sides).Draw(t, "b")
		c, err := Compare(b, x.maker, x.ref, y.maker, y.ref)
		if err != nil {
			t.Fatal(err)
		}
		d, err := Compare(b, y.maker, y.ref, x.maker, x.ref)
		if err != nil {
			t.Fatal(err)
		}
		if x == y && len(c.Differences) != 0 {
			t.Fatalf("differs from itself: %+v", c.Differences)
		}
		if !reflect.DeepEqual(c.Same, d.Same) || len(c.Differences) != len(d.Differences) {
			t.Fatalf("not symmetric")
		}
		for i, f := range c.Differences {
			g := d.Differences[i]
			if f.Feature != g.Feature || f.A != g.B || f.B != g.A || math.Abs(f.Telling-g.Telling) > 1e-12 {
				t.Fatalf("%+v mirrored is %+v", f, g)
			}
			if !(f.Telling > 0 && f.Telling <= 1) || f.A == f.B || f.Why.IsZero() {
				t.Fatalf("%+v", f)
			}
			if i > 0 && c.Differences[i-1].Telling < f.Telling {
				t.Fatalf("not in order: %+v", c.Differences)
			}
		}
	})
}

// A greater difference of size is never less telling.
func TestCompareSizeIsMonotone(t *testing.T) {
	telling := func(mm float64) float64 {
		m := good(t).Makers[0]
		m.References = append([]Reference(nil), m.References...)
		m.References[1].Dimensions = []Dimension{{What: "mid_case_diameter", MM: mm}}
		b, err := New(m)
		if err != nil {
			t.Fatal(err)
		}
		c, err := Compare(b, "corvane", "KR-1", "corvane", "KR-2")
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range c.Differences {
			if d.Feature == "mid case diameter" {
				return d.Telling
			}
		}
		return 0
	}
	last := -1.0
	for _, mm := range []float64{36.2, 36.3, 36.7, 37.2, 38.2, 40} {
		if got := telling(mm); got <= last {
			t.Errorf("%g mm: %g after %g", mm, got, last)
		} else {
			last = got
		}
	}
	if last < 0.8 {
		t.Errorf("nearly four millimetres tell only %g", last)
	}
}

func TestCompareNamesWhatIsNotInTheBook(t *testing.T) {
	b := good(t)
	_, err := Compare(b, "Corvan", "KR-1", "Corvane", "KR-2")
	if err == nil || !strings.Contains(err.Error(), "did you mean Corvane?") {
		t.Errorf("maker: %v", err)
	}
	_, err = Compare(b, "Corvane", "KR-1", "Corvane", "KR-4")
	if err == nil || !strings.Contains(err.Error(), "did you mean") {
		t.Errorf("reference: %v", err)
	}
	c, err := Compare(b, "Corvane", "KR-1", "Solmere", "12/b")
	if err != nil {
		t.Fatal(err)
	}
	if !contains(say.Strings(c.NotInBook), "calibre of 12/B") {
		t.Errorf("not in book: %v", c.NotInBook)
	}
}

func TestLookUps(t *testing.T) {
	b := good(t)
	for _, name := range []string{"corvane", "CORVANE", "corvane frères", " cvn "} {
		if m, ok := b.Maker(name); !ok || m.ID != "corvane" {
			t.Errorf("maker %q not found", name)
		}
	}
	for _, name := range []string{"", "corv"} {
		if _, ok := b.Maker(name); ok {
			t.Errorf("maker %q found", name)
		}
	}
	m, _, ok := b.Reference("corvane", "9999")
	if ok || m == nil {
		t.Error("the maker is not given where the reference is unknown")
	}
	// The same look-ups on values that did not come through Load.
	for _, m := range []*Maker{m, {Calibres: m.Calibres, Bracelets: m.Bracelets, EndPieces: m.EndPieces,
		Metals: m.Metals, Families: m.Families, Serials: m.Serials, Stamps: m.Stamps, References: m.References}} {
		c, ok1 := m.Calibre("720")
		br, ok2 := m.Bracelet("78")
		e, ok3 := m.EndPiece("E-5")
		me, ok4 := m.Metal("GOLD18")
		f, ok5 := m.Family("tidal")
		s, ok6 := m.Serial("main")
		st, ok7 := m.Stamp("dial-code")
		if !(ok1 && ok2 && ok3 && ok4 && ok5 && ok6 && ok7) {
			t.Fatal("not found")
		}
		if c.BeatsPerHour != 21600 || br.ClaspMM != 14 || e.LugWidthMM != 19 || me.Fineness != 750 ||
			f.Kind != "chronograph" || len(s.Anchors) != 4 || st.LagMonths != 2.5 {
			t.Error("the wrong entry")
		}
		if _, ok := m.Calibre("7"); ok {
			t.Error("calibre 7 found")
		}
	}
	plain := &Book{Makers: b.Makers}
	if m, ok := plain.Maker("CVN"); !ok || m.ID != "corvane" {
		t.Error("a Book without an index finds no maker")
	}
	if _, ok := plain.Maker("x"); ok {
		t.Error("found a maker that is not there")
	}
	var none *Book
	if _, ok := none.Maker("x"); ok {
		t.Error("found a maker in no book")
	}
	r, _ := m.Reference("KR-1")
	if _, ok := r.Slot(evidence.Box); ok {
		t.Error("slot box found")
	}
}

func TestWindowMonths(t *testing.T) {
	span := edtf.MustParse("1960/1969")
	tests := []struct {
		made, span  string
		first, last string
		ok          bool
	}{
		{"1962-03/1963", "", "1962-03", "1963-12", true},
		{"1962/..", "", "1962-01", "1969-12", true},
		{"../1962", "", "1960-01", "1962-12", true},
		{"1965~/1966~", "", "1965-01", "1966-12", true},
		{"1962/..", "1960/..", "", "", false},
	}
	for _, tt := range tests {
		s := span
		if tt.span != "" {
			s = edtf.MustParse(tt.span)
		}
		first, last, ok := Window{Made: edtf.MustParse(tt.made)}.Months(s)
		if ok != tt.ok || (ok && (first.String() != tt.first || last.String() != tt.last)) {
			t.Errorf("%s in %s: %s–%s %v", tt.made, s, first, last, ok)
		}
	}
	if _, _, ok := (Window{}).Months(span); ok {
		t.Error("no window has months")
	}
}

func TestPath(t *testing.T) {
	for want, got := range map[string]string{
		"corvane/KR-1/dial/matt-1": Path("corvane", "KR-1", "dial", "matt-1"),
		"corvane/serial/main":      Path("corvane", "", "serial", "main"),
		"solmere/12%2FB":           Path("solmere", "12/B"),
	} {
		if got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		good(b)
	}
}

func BenchmarkCompare(b *testing.B) {
	book := good(b)
	for b.Loop() {
		if _, err := Compare(book, "corvane", "KR-1", "corvane", "KR-2"); err != nil {
			b.Fatal(err)
		}
	}
}
