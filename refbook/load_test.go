package refbook

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/goccy/go-yaml"

	"midcase/edtf"
	"midcase/evidence"
)

func good(t testing.TB) *Book {
	t.Helper()
	b, err := LoadDir("testdata/good")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestLoadReadsEveryField(t *testing.T) {
	b := good(t)
	if len(b.Makers) != 2 || b.Makers[0].ID != "corvane" || b.Makers[1].ID != "solmere" {
		t.Fatalf("makers: %v", b.Makers)
	}
	m, ref, ok := b.Reference("CVN", " KR-1 ")
	if !ok || m.Name != "Corvane" || ref.Name != "Tidal Chronograph" {
		t.Fatalf("reference: %v %v", ref, ok)
	}
	if got := m.Serials[0].Anchors[1]; got.Number != 1240000 || got.Month != edtf.MonthOf(1962, 6) {
		t.Errorf("anchor: %+v", got)
	}
	dial, ok := ref.Slot(evidence.Dial)
	if !ok || dial.Replaced != 0.06 {
		t.Fatalf("dial: %+v", dial)
	}
	v, ok := dial.Variant("MATT-1")
	if !ok || v.Traits["print"] != "white" || v.Windows[0].Made.String() != "1964-01/1967-06" {
		t.Errorf("variant: %+v", v)
	}
	if rule := ref.Rules[1]; rule.With == nil || rule.With.OneOf[0] != "712" {
		t.Errorf("rule: %+v", rule)
	}
}

// What the encoder writes of a Maker, Load reads back to the same value.
func TestEncodedMakerLoads(t *testing.T) {
	b := good(t)
	files := fstest.MapFS{}
	for _, m := range b.Makers {
		out, err := yaml.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		files[m.ID+".yaml"] = &fstest.MapFile{Data: out}
	}
	again, err := Load(files)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(b, again) {
		t.Errorf("read back differently")
	}
}

// edit loads the good maker with one piece of its text changed.
func edit(t *testing.T, old, replacement string) Problems {
	t.Helper()
	src, err := os.ReadFile("testdata/good/corvane.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(src, []byte(old)) {
		t.Fatalf("the test book has no %q", old)
	}
	_, err = Load(fstest.MapFS{"corvane.yaml": {Data: bytes.Replace(src, []byte(old), []byte(replacement), 1)}})
	if err == nil {
		return nil
	}
	var p Problems
	if !errors.As(err, &p) {
		t.Fatalf("not Problems: %v", err)
	}
	return p
}

// lineOfText is the line of the good book on which the text stands.
func lineOfText(t *testing.T, text string) int {
	t.Helper()
	src, err := os.ReadFile("testdata/good/corvane.yaml")
	if err != nil {
		t.Fatal(err)
	}
	i := bytes.Index(src, []byte(text))
	return 1 + bytes.Count(src[:i], []byte("\n"))
}

func TestLoadNamesEachFault(t *testing.T) {
	tests := []struct {
		name, old, new    string
		path, found, hint string
	}{
		{"unknown key", "beats_per_hour: 18000", "beats_per_houre: 18000, beats_per_hour: 18000",
			"calibres[0].beats_per_houre", "unknown key", "did you mean beats_per_hour?"},
		{"wrong type", "beats_per_hour: 18000", "beats_per_hour: fast", "calibres[0].beats_per_hour", `"fast"`,
			"whole number"},
		{"wrong shape", "aliases: [Corvane Frères, CVN]", "aliases: CVN", "aliases", "a single value", "list"},
		{"missing field", "kind: chronograph}", "}", "families[0].kind", "nothing", "required"},
		{"null field", "name: Corvane\n", "name:\n", "name", "nothing", "give it a value"},
		{"newer schema", "schema: 1", "schema: 2", "schema", "2", "schema: 1"},
		{"duplicate id", `{id: "720", name`, `{id: "712", name`, "calibres[1].id", `"712"`, "calibres[0]"},
		{"duplicate key", "country: CH", "country: CH\ncountry: CH", "country", "twice", "keep one"},
		{"bad date", "1964-01/1967-06", "1967-06/1964-01", "references[0].slots[0].variants[1].windows[0].made",
			`"1967-06/1964-01"`, "ends before it begins"},
		{"self overlap", "made: 1967/1969, share: 0.2", "made: 1966/1969, share: 0.2",
			"references[0].slots[2].variants[0].windows[1]", "shares 12 months", "follow each other"},
		{"variants overlap", "1967-05/1970-12", "1966-05/1970-12", "references[0].slots[0].variants[2].windows[0]",
			"shares 14 months", "give each a share"},
		{"gap", "1964-01/1967-06", "1964-03/1967-06", "references[0].slots[0].variants",
			"no variant from 1964-01 to 1964-02", "widen"},
		{"gap at the end", "1967-05/1970-12", "1967-05/1970-10", "references[0].slots[0].variants",
			"no variant from 1970-11 to 1970-12", "widen"},
		{"anchor number", "number: 1600000", "number: 1200000", "serials[0].anchors[2].number", "1200000 after 1240000",
			"rise"},
		{"anchor month", "month: 1966-01", "month: 1962-06", "serials[0].anchors[2].month", "1962-06 after 1962-06",
			"rise"},
		{"family", "family: tidal", "family: tidel", "references[0].family", `"tidel"`, "did you mean tidal?"},
		{"calibre", `calibres: ["712", "720"]`, `calibres: ["712", "99"]`, "references[0].calibres[1]", `"99"`,
			"calibres"},
		{"serial", "serial: [main]", "serial: [mian]", "references[0].serial[0]", `"mian"`, "did you mean main?"},
		{"metal", "metal: steel\n", "metal: steal\n", "references[0].metal", `"steal"`, "did you mean steel?"},
		{"bracelet", `bracelets: ["70", "78"]`, `bracelets: ["70", "788"]`, "references[0].bracelets[1]", `"788"`,
			"did you mean 78?"},
		{"end piece", `end_pieces: ["E-5"], links`, `end_pieces: ["58y"], links`, "bracelets[0].end_pieces[0]", `"58y"`,
			""},
		{"fits", `fits: ["KR-1", "KR-2"]`, `fits: ["KR-1", "KR-21"]`, "end_pieces[0].fits[1]", `"KR-21"`,
			"did you mean"},
		{"stamp", "stamp: dial-code", "stamp: dial-kode", "references[0].slots[0].variants[1].stamp", `"dial-kode"`,
			"did you mean dial-code?"},
		{"movement slot", `{id: "712", name: Calibre 712, windows`, `{id: "7a12", name: Calibre 712, windows`,
			"references[0].slots[1].variants[0].id", `"7a12"`, "did you mean 712?"},
		{"bracelet slot", "{id: strap,", "{id: leather,", "references[0].slots[2].variants[2].id", `"leather"`,
			"70, 78, strap"},
		{"rule variant", `only: ["70", "78", strap]`, `only: ["70", "78", strapp]`, "references[0].rules[0].only[2]",
			`"strapp"`, "did you mean strap?"},
		{"rule with", "variant: gloss", "variant: glos", "references[0].rules[1].with.variant", `"glos"`,
			"did you mean gloss?"},
		{"unknown slot", "slot: end_pieces\n", "slot: end_piece\n", "references[0].slots[3].slot", `"end_piece"`,
			"did you mean end_pieces?"},
		{"slot twice", "slot: end_pieces\n", "slot: bracelet\n", "references[0].slots[3].slot", `"bracelet"`,
			"slots[2]"},
		{"window outside", "1962-03/1963-12", "1960-01/1963-12", "references[0].slots[0].variants[0].windows[0].made",
			"1960-01", "at most a year before"},
		{"beat rate", "beats_per_hour: 21600", "beats_per_hour: 216000", "calibres[1].beats_per_hour", "216000",
			"12000 to 43200"},
		{"lift angle", "lift_angle_deg: 52", "lift_angle_deg: 80", "calibres[1].lift_angle_deg", "80", "30 to 70"},
		{"mm", "mm: 34.8", "mm: 348", "references[0].dimensions[0].mm", "348", "8 to 70"},
		{"share", "share: 0.2", "share: 20", "references[0].slots[2].variants[0].windows[1].share", "20", "0 to 1"},
		{"replaced", "replaced: 0.06", "replaced: 6", "references[0].slots[0].replaced", "6", "0 to 1"},
		{"dimension", "what: lug_width", "what: lug_widht", "references[0].dimensions[1].what", `"lug_widht"`,
			"did you mean lug_width?"},
		{"service with window", "supplied: 1975/..", "windows: [{made: 1970}]",
			"references[0].slots[0].variants[3].service", "service", "no window"},
		{"reserved id", "id: gloss\n", "id: unknown\n", "references[0].slots[0].variants[0].id", `"unknown"`,
			"another id"},
		{"null entry", "aliases: [Corvane Frères, CVN]", "aliases: [CVN, null, CV]", "aliases[1]", "nothing", "text"},
		{"market", "markets: [US]", "markets: [usa]", "references[1].markets[0]", `"usa"`, "capital"},
		{"marker", "markers: [12, 3, 6, 9]", "markers: [12, 15]", "references[0].slots[0].variants[0].markers[1]", "15",
			"1 to 12"},
		{"not a number", "mm: 34.8", "mm: .nan", "references[0].dimensions[0].mm", `".nan"`, "number"},
		{"alias", "country: CH", "country: &c CH", "country", "anchor", "write the value out"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			all := edit(t, tt.old, tt.new)
			var p *Problem
			for i := range all {
				if all[i].Path == tt.path {
					p = &all[i]
				}
			}
			if p == nil {
				t.Fatalf("nothing reported at %s; got\n%v", tt.path, all)
			}
			if p.File != "corvane.yaml" || !strings.Contains(p.Found, tt.found) || !strings.Contains(p.Hint, tt.hint) {
				t.Errorf("got %+v", *p)
			}
			want := lineOfText(t, tt.old)
			switch tt.name {
			case "duplicate key":
				want++
			case "service with window": // reported at service:, the line before
				want--
			}
			if !strings.HasPrefix(tt.name, "gap") && p.Line != want {
				t.Errorf("line %d, want %d", p.Line, want)
			}
		})
	}
}

func TestLoadReportsAllAtOnceInOrder(t *testing.T) {
	src, _ := os.ReadFile("testdata/good/corvane.yaml")
	for old, bad := range map[string]string{"country: CH": "country: ch", "scatter_months: 5": "scatter_months: -1",
		"replaced: 0.4": "replaced: 4"} {
		src = bytes.Replace(src, []byte(old), []byte(bad), 1)
	}
	_, err := Load(fstest.MapFS{"b.yaml": {Data: src}, "a.yaml": {Data: []byte("schema: one\n")}})
	var p Problems
	if !errors.As(err, &p) {
		t.Fatalf("not Problems: %v", err)
	}
	var got []string
	for _, q := range p {
		got = append(got, fmt.Sprintf("%s:%s", q.File, q.Path))
	}
	want := []string{"a.yaml:schema", "a.yaml:id", "a.yaml:name", "b.yaml:country", "b.yaml:serials[0].scatter_months",
		"b.yaml:references[0].slots[2].replaced"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v\nwant %v", got, want)
	}
}

func TestLoadRefusesWholeFiles(t *testing.T) {
	minimal := "schema: 1\nid: aa\nname: Aa\n"
	tests := []struct {
		name  string
		files map[string]string
		found string
		line  int
	}{
		{"no file", map[string]string{"note.txt": "x"}, "no *.yaml file", 0},
		{"empty", map[string]string{"a.yaml": "# only a remark\n"}, "an empty file", 1},
		{"yml", map[string]string{"a.yml": minimal}, ".yml", 1},
		{"not UTF-8", map[string]string{"a.yaml": "schema: 1\nname: Corvane Fr\xe8res\n"}, "not UTF-8", 2},
		{"huge", map[string]string{"a.yaml": strings.Repeat("# remark\n", 1<<20)}, "more than 8 MB", 1},
		{"syntax", map[string]string{"a.yaml": "schema: 1\nid: [a\nname: Aa\n"}, "not YAML", 1},
		{"two documents", map[string]string{"a.yaml": minimal + "---\n" + minimal}, "2 YAML documents", 5},
		{"a list", map[string]string{"a.yaml": "- schema: 1\n"}, "a list", 1},
		{"deep flow", map[string]string{"a.yaml": "id: " + strings.Repeat("[", 900)}, "nested too deep", 1},
		{"deep block", map[string]string{"a.yaml": "id:\n" + strings.Repeat("- ", 5000)}, "nested too deep", 2},
		{"keys without end", map[string]string{"a.yaml": strings.Repeat("a:\n", 3000)},
			"more than 2000 lines at one level", 2001},
		{"empty entries", map[string]string{"a.yaml": "aliases:\n" + strings.Repeat("-\n", 300)},
			"more than 200 empty or tagged", 202},
		{"long line", map[string]string{"a.yaml": "id: " + strings.Repeat("a", 70000)}, "a line of 70004 characters",
			1},
		{"same id twice", map[string]string{"a.yaml": minimal, "b.yaml": minimal},
			`the name "aa", which a.yaml has too`, 2},
		{"same alias", map[string]string{"a.yaml": minimal, "b.yaml": "schema: 1\nid: bb\nname: Bb\naliases: [AA]\n"},
			"which a.yaml has too", 3},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fsys := fstest.MapFS{}
			for name, text := range tt.files {
				fsys[name] = &fstest.MapFile{Data: []byte(text)}
			}
			_, err := Load(fsys)
			var p Problems
			if !errors.As(err, &p) {
				t.Fatalf("not Problems: %v", err)
			}
			if !strings.Contains(p[0].Found, tt.found) || (tt.line > 0 && tt.name != "syntax" && p[0].Line != tt.line) {
				t.Errorf("got %v", p)
			}
		})
	}
}

// What goes wrong in reading the folder is no problem of the book.
func TestLoadDirWithoutFolder(t *testing.T) {
	_, err := LoadDir("testdata/none")
	var p Problems
	if err == nil || errors.As(err, &p) || !errors.Is(err, os.ErrNotExist) ||
		!strings.Contains(err.Error(), "testdata/none") {
		t.Errorf("got %v", err)
	}
}

func TestNewChecksValues(t *testing.T) {
	m := good(t).Makers[0]
	m.References = append([]Reference(nil), m.References...)
	if _, err := New(m); err != nil {
		t.Fatalf("a good maker: %v", err)
	}
	m.References[0].Family = ""
	m.References[0].Made = edtf.Date{}
	m.References[1].Metal = "tin"
	_, err := New(m)
	var p Problems
	if !errors.As(err, &p) || len(p) != 3 {
		t.Fatalf("got %v", err)
	}
}

func FuzzLoad(f *testing.F) {
	for _, name := range []string{"corvane.yaml", "solmere.yaml"} {
		b, err := os.ReadFile("testdata/good/" + name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Add([]byte("a: &a [*a]"))
	f.Add([]byte("? [x]\n: y"))
	f.Add([]byte("<<: {a: 1}\nid: !!binary x"))
	f.Add([]byte("references: [{slots: [{variants: [{windows: [{made: 1962}]}]}]}]"))
	f.Fuzz(func(t *testing.T, b []byte) {
		book, err := Load(fstest.MapFS{"a.yaml": {Data: b}})
		if err == nil && len(book.Makers) != 1 {
			t.Errorf("no error and %d makers", len(book.Makers))
		}
		if err != nil && err.Error() == "" {
			t.Error("an error that says nothing")
		}
	})
}
