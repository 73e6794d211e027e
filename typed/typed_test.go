package typed

import (
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"midcase/edtf"
)

func TestLineAndText(t *testing.T) {
	tests := []struct {
		name, s    string
		line, text bool // accepted
	}{
		{"empty", "", true, true},
		{"accents and other scripts", "Ōnišče, שלום, 時計", true, true},
		{"a mark of direction, which changes nothing around it", "שלום\u200f 12", true, true},
		{"the longest line", strings.Repeat("é", MaxLine), true, true},
		{"one more", strings.Repeat("é", MaxLine+1), false, true},
		{"the longest text", strings.Repeat("a", MaxText), false, true},
		{"a longer text", strings.Repeat("a", MaxText+1), false, false},
		{"two lines", "one\ntwo\tthree\r\n", false, true},
		{"NUL", "KR\x00-1", false, false},
		{"escape, which terminals obey", "\x1b[2J", false, false},
		{"a C1 control", "a\u009bb", false, false},
		{"override", "invoice\u202efdp.exe", false, false},
		{"isolate", "a\u2066b", false, false},
		{"no UTF-8", "a\xffb", false, false},
	}
	for _, tt := range tests {
		for _, f := range []struct {
			what  string
			check func(string) (string, string)
			ok    bool
		}{{"Line", Line, tt.line}, {"Text", Text, tt.text}} {
			if found, want := f.check(tt.s); (want == "") != f.ok {
				t.Errorf("%s of %s: found %q, want %q; accepted should be %v", f.what, tt.name, found, want, f.ok)
			}
		}
	}
}

func TestCheckFindsEveryText(t *testing.T) {
	type part struct {
		Name string `json:"name"`
		Note string `json:"note" typed:"text"`
	}
	type base struct{ Maker string }
	record := struct {
		base
		Title  string            `json:"title"`
		Parts  []part            `json:"parts"`
		Best   *part             `json:"best,omitempty"`
		Words  map[string]string `json:"words"`
		Many   []string          `json:"many" typed:"text"`
		Day    edtf.Date         `json:"day"`
		Raw    []byte            `json:"raw"`
		Sealed string            `json:"sealed" typed:"-"`
		hidden string
	}{Title: "a\x00", Parts: []part{{}, {Name: "\x00", Note: "a\nb"}}, Best: &part{Note: "\u202e"},
		Words: map[string]string{"k": "a\nb"}, Many: []string{"a\nb", "\x00"}, Raw: []byte("\x00"), Sealed: "\x00",
		hidden: "\x00"}
	var got []string
	for _, f := range Check(&record) {
		got = append(got, f.Field)
		if f.Found == "" || f.Want == "" {
			t.Errorf("%s: nothing said", f.Field)
		}
	}
	if want := "title parts[1].name best.note words[k] many[1]"; strings.Join(got, " ") != want {
		t.Errorf("found %q; want %q", strings.Join(got, " "), want)
	}
}

func TestJSONRefusesTwins(t *testing.T) {
	for _, twins := range []string{
		`{"a":1,"a":2}`, `{"a":1,"A":2}`, `{"a":{"b":1,"b":2}}`, `[{"a":1},{"x":[1,{"a":1,"a":2}]}]`,
		`{"a":"a","b":["a"],"a":1}`, `{"kind":1,"` + "\u212a" + `ind":2}`, `{"text":1,"te\u0078t":2}`,
	} {
		if JSON([]byte(twins)) == nil {
			t.Errorf("%s passes", twins)
		}
		// The fold is that of encoding/json: it puts both into one field.
		if !json.Valid([]byte(twins)) {
			t.Errorf("%s is no JSON", twins)
		}
	}
	for _, fine := range []string{`{"a":1,"b":{"a":1},"c":["a","a",{"a":1}]}`, `[]`, `"a"`, ``, `{"a":"a"}`, `{"a":1`,
		`[{"a":1},{"a":1}]`} {
		if err := JSON([]byte(fine)); err != nil {
			t.Errorf("%s: %v", fine, err)
		}
	}
}

func TestFoldIsThatOfTheDecoder(t *testing.T) {
	var v struct {
		Kind string `json:"kind"`
	}
	if err := json.Unmarshal([]byte(`{"`+"\u212a"+`ind":"x"}`), &v); err != nil || v.Kind != "x" {
		t.Skip("encoding/json no longer folds the sign for kelvin")
	}
	if fold('\u212a') != fold('k') || fold('a') == fold('b') {
		t.Error("a name that the decoder takes for another one counts as different")
	}
}

// The rules that spreadsheets have in common: OWASP, CSV Injection (2024), signs = + - @, tab and carriage return.
func TestCell(t *testing.T) {
	for in, want := range map[string]string{
		"=1+1": "'=1+1", "+1-800": "'+1-800", "@SUM(A1)": "'@SUM(A1)", "-2+3": "'-2+3",
		"\t=1": "'\t=1", "\r=1": "'\r=1",
		"-12.50": "-12.50", "+4": "'+4", "--4": "'--4", "-1e9": "'-1e9", "-": "'-",
		"+Inf": "'+Inf", "": "", "KR-1": "KR-1", "'": "'", "'=1": "''=1", "—": "—",
	} {
		if got := Cell(in); got != want {
			t.Errorf("Cell(%q) = %q; want %q", in, got, want)
		}
	}
}

func TestCellsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(rapid.String(), rapid.StringMatching(`'{0,3}[=+@\t-]?[0-9a.]{0,3}`)).Draw(t, "s")
		if back := FromCell(Cell(s)); back != s {
			t.Fatalf("%q is written %q and read %q", s, Cell(s), back)
		}
	})
}

func TestSheetGuardsEveryCell(t *testing.T) {
	var out strings.Builder
	w := NewSheet(&out)
	if err := w.Write([]string{"=1", "a,b"}); err != nil {
		t.Fatal(err)
	}
	if err := w.WriteAll([][]string{{"@x", "-1.50"}}); err != nil {
		t.Fatal(err)
	}
	if want := "'=1,\"a,b\"\n'@x,-1.50\n"; out.String() != want {
		t.Errorf("wrote %q; want %q", out.String(), want)
	}
}
