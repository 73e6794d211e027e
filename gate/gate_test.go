package gate_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/gate"
	"midcase/refbook"
	"midcase/say"
)

// corvane is the book of the tests of package refbook with what these tests need: a reference
// of 36.0 mm made from 1962 to 1969, in steel, with a repair crown of 6.6 mm.
func known(t *testing.T, items ...evidence.Data) gate.Known {
	t.Helper()
	dir := t.TempDir()
	book := `schema: 1
id: torm
name: Torm
serials:
  - id: main
    mark: serial
    anchors: [{number: 100000, month: "1960-01"}, {number: 200000, month: "1965-01"}, {number: 300000,
	month: "1970-01"}]
    scatter_months: 6
stamps:
  - {id: back, slot: case_back, form: quarter-year, lag_months: 3}
metals: [{id: steel, name: Steel}, {id: gold18, name: 18 karat gold, fineness: 750, element: gold}]
calibres: [{id: T-1, beats_per_hour: 18000}]
families: [{id: plain, name: Plain, kind: time_only}]
references:
  - id: T-36
    family: plain
    made: "1962/1969"
    metal: steel
    calibres: [T-1]
    serial: [main]
    dimensions: [{what: mid_case_diameter, mm: 36}, {what: lug_width, mm: 18}, {what: crown_diameter, mm: 6}]
    weights: [{part: case, g: 12}]
    slots:
      - slot: crown
        replaced: 0.4
        variants:
          - {id: crown-signed, name: "Crown, signed", look: "emblem in relief; 6.0 mm",
	windows: [{made: "1962/1969"}]}
          - {id: crown-service, name: "Crown, repair part", look: "etched, 6.6 mm", service: true}
`
	if err := os.WriteFile(dir+"/torm.yaml", []byte(book), 0o600); err != nil {
		t.Fatal(err)
	}
	b, err := refbook.Load(os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	k := gate.Known{File: evidence.File{Maker: "Torm", Reference: "T-36"}}
	k.Maker, k.Reference, _ = b.Reference("Torm", "T-36")
	if k.Reference == nil {
		t.Fatal("the book of the test has no T-36")
	}
	for _, d := range items {
		k.File.Items = append(k.File.Items, evidence.Item{ID: "ev_1", At: time.Unix(0, 0), By: "Ines", Data: d})
	}
	return k
}

func size(what string, mm float64) evidence.Data { return &evidence.Dimension{What: what, MM: mm} }

func serial(text string) evidence.Data {
	return &evidence.Mark{What: evidence.MarkSerial, Text: text}
}

// The slips that a shop met: each raises one doubt, with the value that was meant where one is near.
func TestSlips(t *testing.T) {
	for name, c := range map[string]struct {
		data   evidence.Data
		file   []evidence.Data
		says   string
		meant  string
		others string
	}{
		"decimal point": {data: size("mid_case_diameter", 3.59),
			says: "3.59 mm; the book has 36.0 mm for the mid-case diameter. Did you mean 35.9?", meant: "35.9"},
		"transposed":       {data: size("mid_case_diameter", 53.9), says: "Did you mean 35.9?", meant: "35.9"},
		"between the lugs": {data: size("lug_width", 199), says: "199.0 mm; the book has 18.0 mm", meant: ""},
		"not in the book":  {data: size("lug_to_lug", 4.3), says: "watches have 15 mm to 70 mm", meant: "43"},
		"repair crown": {data: size("crown_diameter", 6.6),
			says: "is the size of the repair part (Crown, repair part)"},
		"weight": {data: &evidence.Weighing{What: "case", G: 123, In: "air"},
			says: "Did you mean 12.3?", meant: "12.3"},
		"number far above": {data: serial("999999999"),
			says: "The serial number 999999999 is far above the numbers in the book, which end with 300000"},
		"two figures swap":    {data: serial("821000"), says: "Did you mean 281000?", meant: "281000"},
		"one figure too many": {data: serial("4210000"), says: "Did you mean 210000?", meant: "210000"},
		"second number": {data: serial("210000"), file: []evidence.Data{serial("211000")},
			says: "already has the serial number 211000"},
		"number elsewhere": {data: serial("210000"), others: "File 12, Torm T-36",
			says: "File 12, Torm T-36 has the serial number 210000 too."},
		"metal": {data: &evidence.Fitted{Slot: "case", Variant: "unknown", Metal: "gold18"},
			says: "The book has no T-36 in 18 karat gold; it has steel."},
		"year told": {data: &evidence.Claim{About: "year", Text: "made in 1981",
			Told: evidence.Told{Year: 1981}}, says: "1981: the book has this reference made"},
		"papers": {data: &evidence.Document{What: "papers", Date: edtf.MustParse("1951-04")},
			says: "dated 1951-04: the book has"},
		"papers' number": {data: &evidence.Document{What: "papers", Serial: "210100"},
			file: []evidence.Data{serial("201100")}, says: "two figures are transposed", meant: "201100"},
		"stamp": {data: &evidence.Mark{What: evidence.MarkDateStamp, Slot: "case_back",
			Text: "II 42"}, says: "The stamp II 42 reads as"},
		"rate": {data: &evidence.Rate{Position: "CH", SecPerDay: -1200},
			says: "more than five minutes a day"},
		"amplitude": {data: &evidence.Rate{Position: "CH", SecPerDay: 2, AmplitudeDeg: 720},
			says: "outside what a running watch shows", meant: "270"},
		"version": {data: &evidence.Fitted{Slot: "crown", Variant: "crown-9"},
			says: "no version “crown-9” of the crown; it has crown-signed and crown-service"},
		"good with severity": {data: &evidence.Finding{Slot: "case", Term: "unpolished", Severity: 3},
			says: "has no severity", meant: "0"},
	} {
		k := known(t, c.file...)
		k.Elsewhere = c.others
		got := gate.Doubts(c.data, k)
		if len(got) != 1 {
			t.Errorf("%s: %d doubts: %v", name, len(got), got)
			continue
		}
		if text := got[0].Says.String(); !strings.Contains(text, c.says) {
			t.Errorf("%s: says %q, want it to have %q", name, text, c.says)
		}
		if c.meant != "" && got[0].Meant != c.meant {
			t.Errorf("%s: meant %q, want %q", name, got[0].Meant, c.meant)
		}
	}
}

// What is worn, polished or rare and still possible passes without a question.
func TestPossibleEntriesPass(t *testing.T) {
	k := known(t, serial("210000"))
	for _, d := range []evidence.Data{
		size("mid_case_diameter", 35.9), size("mid_case_diameter", 34.9), size("lug_width", 18.1),
		size("crown_diameter", 6),
		size("crown_diameter", 5.4), size("lug_to_lug", 43), size("bracelet_droop", 190),
		&evidence.Weighing{What: "case", G: 10.4, In: "air"}, &evidence.Weighing{What: "head", G: 48, In: "air"},
		&evidence.Weighing{What: "case", G: 1.5, In: "water"},
		serial("210000"), serial("21??00"), &evidence.Mark{What: evidence.MarkMovementNumber, Text: "999999999"},
		&evidence.Mark{What: evidence.MarkDateStamp, Slot: "case_back", Text: "II 68"},
		&evidence.Mark{What: evidence.MarkDateStamp, Slot: "clasp", Text: "C7"},
		&evidence.Fitted{Slot: "case", Variant: "unknown", Metal: "steel"}, &evidence.Fitted{Slot: "crown",
			Absent: true},
		&evidence.Fitted{Slot: "crown", Variant: "crown-service"}, &evidence.Fitted{Slot: "bracelet",
			Variant: "anything"},
		&evidence.Finding{Slot: "case", Term: "polished", Severity: 0}, &evidence.Rate{Position: "CH",
			SecPerDay: -45, AmplitudeDeg: 180},
		&evidence.Document{What: "papers", Date: edtf.MustParse("1971")}, &evidence.Claim{About: "price",
			Text: "asks"},
	} {
		if got := gate.Doubts(d, k); len(got) > 0 {
			t.Errorf("%+v: %v", d, got[0].Says)
		}
	}
}

func TestUnjudgedFaults(t *testing.T) {
	if d, ok := gate.Unjudged(&evidence.Finding{Slot: "dial", Term: "spotting"}); !ok || d.Field != "severity" ||
		!strings.Contains(d.Says.String(), "severity from 1 to 4") {
		t.Errorf("spotting without a severity: %v", d)
	}
	if _, ok := gate.Unjudged(&evidence.Finding{Slot: "case", Term: "unpolished"}); ok {
		t.Error("a good point has no severity to give")
	}
}

// Nothing is known: no entry of any kind panics, and only what no watch has is doubted.
func TestNothingKnown(t *testing.T) {
	for _, kind := range evidence.Kinds() {
		d, err := evidence.New(kind)
		if err != nil {
			t.Fatal(err)
		}
		if got := gate.Doubts(d, gate.Known{}); kind != evidence.KindDimension && len(got) > 0 {
			t.Errorf("an empty %s: %v", kind, got)
		}
	}
	var none say.Statement
	if got := gate.Doubts(size("lug_width", 199), gate.Known{}); len(got) != 1 ||
		got[0].Says.String() == none.String() {
		t.Errorf("199 mm between the lugs without a book: %v", got)
	}
}

// Nothing is compared with a watch that is not there, or with itself; one named by its number is meant by its id.
func TestComparisons(t *testing.T) {
	there := gate.Other{ID: "w_2", Title: "file 2, Corvane KR-1"}
	for name, c := range map[string]struct {
		other    string
		compared gate.Other
		says     string
		meant    string
	}{
		"nothing":   {"zzz", gate.Other{}, "no watch “zzz”", ""},
		"itself":    {"w_1", gate.Other{ID: "w_1", Title: "file 1"}, "the watch itself", ""},
		"by number": {"2", there, "“2” is file 2, Corvane KR-1", "w_2"},
		"by id":     {"w_2", there, "", ""},
	} {
		doubts := gate.Doubts(&evidence.Comparison{Slot: evidence.Dial, Other: c.other, Result: "better"},
			gate.Known{File: evidence.File{ID: "w_1"}, Compared: c.compared})
		switch {
		case c.says == "" && len(doubts) > 0:
			t.Errorf("%s: doubted: %s", name, doubts[0].Says)
		case c.says != "" && (len(doubts) != 1 || !strings.Contains(doubts[0].Says.String(), c.says) ||
			doubts[0].Meant != c.meant):
			t.Errorf("%s: %+v; want %q, meant %q", name, doubts, c.says, c.meant)
		}
	}
}
