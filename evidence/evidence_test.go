package evidence

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/money"
)

func TestKindsAreClosed(t *testing.T) {
	if len(Kinds()) != len(factories) {
		t.Errorf("%d kinds listed, %d made", len(Kinds()), len(factories))
	}
	for i, k := range Kinds() {
		d, err := New(k)
		if err != nil || d.Kind() != k {
			t.Errorf("%s: %v %v", k, d, err)
		}
		if s := samples()[i]; s.Kind() != k {
			t.Errorf("sample %d is a %s, want %s", i, s.Kind(), k)
		}
	}
	if _, err := New("opinion"); err == nil || !strings.Contains(err.Error(), "want one of mark, fitted") {
		t.Errorf("an unknown kind: %v", err)
	}
	if (Item{}).Kind() != "" {
		t.Error("an item without data has a kind")
	}
}

// The samples give every field, so that a field lost in JSON shows.
func TestSamplesFillEveryField(t *testing.T) {
	for _, it := range samples() {
		v := reflect.ValueOf(it.Data).Elem()
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			if v.Field(i).IsZero() && name != "Absent" {
				t.Errorf("%s: %s is not given", it.Kind(), name)
			}
		}
	}
}

func TestEveryKindRoundTrips(t *testing.T) {
	end := noon.Add(48 * time.Hour)
	for _, it := range samples() {
		if p := it.Check(end); p != nil {
			t.Errorf("%s: %v", it.Kind(), p)
		}
		b, err := json.Marshal(it)
		if err != nil {
			t.Fatal(err)
		}
		var back Item
		if err := json.Unmarshal(b, &back); err != nil {
			t.Errorf("%s: %v", it.Kind(), err)
			continue
		}
		if !reflect.DeepEqual(back, it) {
			t.Errorf("%s read back as %+v", b, back.Data)
		}
	}
}

func TestItemRefuses(t *testing.T) {
	tests := []struct{ name, json, want string }{
		{"unknown kind", `{"id":"e","kind":"feeling","at":"2026-03-01T12:00:00Z","by":"A","data":{}}`,
			`field kind: “feeling” will not do; give one of`},
		{"no kind", `{"id":"e","data":{}}`, `field kind: give one of`},
		{"unknown field of the data", `{"id":"e","kind":"mark","data":{"what":"serial","txet":"1"}}`, `"txet"`},
		{"unknown field of the item", `{"id":"e","kind":"mark","nots":"x","data":{"what":"serial","text":"1"}}`,
			`"nots"`},
		{"newer version", `{"id":"e","schema":2,"kind":"mark","shine":1,"data":{"what":"serial","text":"1"}}`,
			"newer than this program"},
		{"newer version with a new kind", `{"id":"e","schema":9,"kind":"feeling","data":{}}`,
			"newer than this program"},
		{"no data", `{"id":"e","kind":"mark"}`, "give the fields of a mark"},
		{"null data", `{"id":"e","kind":"mark","data":null}`, "give the fields of a mark"},
		{"wrong type", `{"id":"e","kind":"weighing","data":{"what":"case","g":"heavy","in":"air"}}`,
			"field g: a string; give a number"},
		{"bad date", `{"id":"e","kind":"check","data":{"register":"r","date":"yesterday","result":"clear"}}`, "EDTF"},
		{"bad time", `{"id":"e","kind":"mark","at":"yesterday","data":{"what":"serial","text":"1"}}`, "yesterday"},
		{"bad money", `{"id":"e","kind":"claim","data":{"about":"price","text":"t","price":{"amount":"1,000","currency":"EUR"}}}`, "plain decimal"},
		{"not an object", `[1]`, "an array; give an object"},
	}
	for _, tt := range tests {
		var it Item
		if err := json.Unmarshal([]byte(tt.json), &it); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.want)
		}
	}
}

func TestEarlierVersionIsRead(t *testing.T) {
	var it Item
	if err := json.Unmarshal([]byte(`{"id":"e","kind":"mark","at":"2026-03-01T12:00:00Z","by":"A","data":{"what":"serial","text":"1"}}`), &it); err != nil {
		t.Error(err)
	}
}

func TestDataChecks(t *testing.T) {
	tests := []struct {
		name  string
		d     Data
		field string // "" where the data is good
	}{
		{"good mark", &Mark{What: MarkSerial, Text: "1"}, ""},
		{"mark what", &Mark{What: "number", Text: "1"}, "what"},
		{"mark slot", &Mark{What: MarkSerial, Text: "1", Slot: "lug"}, "slot"},
		{"mark text", &Mark{What: MarkSerial, Text: " "}, "text"},
		{"mark confidence", &Mark{What: MarkSerial, Text: "1", Confidence: 1.1}, "confidence"},
		{"unknown variant", &Fitted{Slot: Dial, Variant: Unknown}, ""},
		{"no variant", &Fitted{Slot: Dial}, "variant"},
		{"empty slot", &Fitted{Slot: Box, Absent: true}, ""},
		{"empty slot with a part", &Fitted{Slot: Box, Absent: true, Variant: "red"}, "variant"},
		{"no slot", &Fitted{Variant: "x"}, "slot"},
		{"severity", &Finding{Slot: Dial, Term: "spotting", Severity: 5}, "severity"},
		{"negative severity", &Finding{Slot: Dial, Term: "spotting", Severity: -1}, "severity"},
		{"extent", &Finding{Slot: Dial, Term: "spotting", Extent: 20}, "extent"},
		{"term", &Finding{Slot: Dial}, "term"},
		{"dimension", &Dimension{What: "lug_width", MM: 20}, ""},
		{"negative length", &Dimension{What: "lug_width", MM: -20}, "mm"},
		{"no droop", &Dimension{What: "bracelet_droop", MM: 0, FreeLengthMM: 80}, ""},
		{"droop without length", &Dimension{What: "bracelet_droop", MM: 4}, "free_length_mm"},
		{"pull without links", &Dimension{What: "bracelet_length_under_pull", MM: 80, PullN: 5}, "links"},
		{"pull without force", &Dimension{What: "bracelet_length_under_pull", MM: 80, Links: 5}, "pull_n"},
		{"dimension what", &Dimension{What: "girth", MM: 20}, "what"},
		{"negative weight", &Weighing{What: "case", G: -20, In: "air"}, "g"},
		{"no weight", &Weighing{What: "case", G: 0, In: "air"}, "g"},
		{"weighed in what", &Weighing{What: "case", G: 20}, "in"},
		{"watch in water", &Weighing{What: "watch", G: 70, In: "water"}, "what"},
		{"movement in water", &Weighing{What: "movement", G: 20, In: "water"}, "what"},
		{"bracelet in water", &Weighing{What: "bracelet", G: 40, In: "water"}, ""},
		{"ice", &Weighing{What: "bracelet", G: 40, In: "water", WaterTempC: -3}, "water_temp_c"},
		{"position", &Rate{Position: "12"}, "position"},
		{"rate", &Rate{Position: "CH", SecPerDay: 5000}, "s_per_day"},
		{"negative amplitude", &Rate{Position: "CH", AmplitudeDeg: -5}, "amplitude_deg"},
		{"no blob", &Recording{}, "blob"},
		{"negative seconds", &Recording{Blob: "x", Seconds: -1}, "seconds"},
		{"beats", &Recording{Blob: "x", BeatsPerHour: 5}, "beats_per_hour"},
		{"view", &Photo{Blob: "x", View: "side"}, "view"},
		{"pixels", &Photo{Blob: "x", View: "dial", WidthPx: -5}, "width_px"},
		{"reading of nothing", &Reading{Photo: "p", What: "plot 3"}, "lab"},
		{"reading without photo", &Reading{What: "plot 3", LengthMM: 2}, "photo"},
		{"colour", &Reading{Photo: "p", What: "plot 3", Lab: &[3]float64{120, 0, 0}}, "lab"},
		{"negative uncertainty", &Reading{Photo: "p", What: "plot 3", LengthMM: 2, PlusMinus: -1}, "plus_minus"},
		{"picks that name a field twice",
			&Dimension{What: "lug_width", MM: 20, Picks: Picks(`{"a":1,"A":2}`)}, "picks"},
		{"picks that are no object", &Dimension{What: "lug_width", MM: 20, Picks: Picks(`[1]`)}, "picks"},
		{"too many picks", &Dimension{What: "lug_width", MM: 20,
			Picks: Picks(`{"a":"` + strings.Repeat("x", maxPicks) + `"}`)}, "picks"},
		{"finding placed on nothing", &Finding{Slot: Dial, Term: "spotting", Severity: 1, At: [2]float64{5, 5},
			RadiusPx: 9}, "photo"},
		{"finding placed outside", &Finding{Slot: Dial, Term: "spotting", Severity: 1, Photo: "p",
			At: [2]float64{-5, 5}, RadiusPx: 9}, "at"},
		{"document", &Document{What: "ticket"}, "what"},
		{"price of zero", &Claim{About: "price", Text: "t", Price: money.MustParse("0", "EUR")}, "price"},
		{"negative price", &Claim{About: "price", Text: "t", Price: money.MustParse("-5", "EUR")}, "price"},
		{"claim without words", &Claim{About: "price"}, "text"},
		{"told grade", &Claim{About: "condition", Text: "t", Told: Told{Grade: 11}}, "told.grade"},
		{"told year", &Claim{About: "year", Text: "t", Told: Told{Year: 68}}, "told.year"},
		{"told set", &Claim{About: "set", Text: "t", Told: Told{Set: "half"}}, "told.set"},
		{"work on nothing", &Work{What: "service", Replaced: []Replaced{{Slot: "glass"}}}, "replaced[0].slot"},
		{"free work", &Work{What: "service", Cost: money.MustParse("0", "EUR")}, ""},
		{"negative cost", &Work{What: "service", Cost: money.MustParse("-1", "EUR")}, "cost"},
		{"comparison", &Comparison{Slot: Case, Other: "w", Result: "nicer"}, "result"},
		{"check without a day", &Check{Register: "r", Result: "clear"}, "date"},
		{"withdrawal without reason", &Withdrawal{Of: "e"}, "reason"},
	}
	for _, tt := range tests {
		p := tt.d.Check()
		var fields []string
		for _, q := range p {
			fields = append(fields, q.Field)
			if q.Found == "" || q.Want == "" {
				t.Errorf("%s: %+v does not say what was found or wanted", tt.name, q)
			}
		}
		switch {
		case tt.field == "" && p != nil:
			t.Errorf("%s: %v", tt.name, p)
		case tt.field != "" && (len(fields) != 1 || fields[0] != tt.field):
			t.Errorf("%s: problems at %v, want %s", tt.name, fields, tt.field)
		}
	}
}

func TestFutureDates(t *testing.T) {
	good := &Mark{What: MarkSerial, Text: "1"}
	future := edtf.MustParse("2026-03-05")
	tests := []struct {
		name, field string
		it          Item
	}{
		{"recorded tomorrow at noon", "", Item{At: noon.Add(24 * time.Hour), Data: good}},
		{"recorded later", "at", Item{At: noon.Add(25 * time.Hour), Data: good}},
		{"photo", "data.taken", Item{At: noon, Data: &Photo{Blob: "x", View: "dial", Taken: future}}},
		{"document", "data.date", Item{At: noon, Data: &Document{What: "papers", Date: future}}},
		{"made", "data.made_date", Item{At: noon, Data: &Document{What: "papers", MadeDate: edtf.MustParse("2031")}}},
		{"work", "data.date", Item{At: noon, Data: &Work{What: "service", Date: future}}},
		{"check", "data.date", Item{At: noon, Data: &Check{Register: "r", Result: "clear", Date: future}}},
		{"this year", "", Item{At: noon, Data: &Work{What: "service", Date: edtf.MustParse("2026")}}},
		{"no time", "at", Item{Data: good}},
	}
	for _, tt := range tests {
		tt.it.ID, tt.it.By = "e", "A"
		p := tt.it.Check(noon)
		if tt.field == "" && p != nil || tt.field != "" && (len(p) != 1 || p[0].Field != tt.field) {
			t.Errorf("%s: %v, want %q", tt.name, p, tt.field)
		}
	}
	if p := (Item{}).Check(noon); len(p) != 4 {
		t.Errorf("an empty item: %v", p)
	}
}

func TestReadWatch(t *testing.T) {
	w := Watch{ID: "w_1", Schema: 1, Title: "A watch", Maker: "Corvane", Reference: "KR-1", Evidence: samples()}
	b, err := json.MarshalIndent(w, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	got, err := ReadWatch(bytes.NewReader(b), "w.json", noon.Add(48*time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, w) {
		t.Errorf("read back as %+v", got)
	}
}

func TestReadWatchRefuses(t *testing.T) {
	item := func(id, rest string) string {
		return fmt.Sprintf(`{"id":%q,"kind":"mark","at":"2026-02-01T10:00:00Z","by":"A","data":{"what":"serial","text":"1"}%s}`, id, rest)
	}
	withdraw := func(id, of string) string {
		return fmt.Sprintf(`{"id":%q,"kind":"withdrawal","at":"2026-02-01T10:00:00Z","by":"A","data":{"of":%q,"reason":"r"}}`, id, of)
	}
	watch := func(items ...string) string {
		return `{"maker":"Corvane","reference":"KR-1","evidence":[` + strings.Join(items, ",") + `]}`
	}
	tests := []struct{ name, text, want string }{
		{"empty", "", "the file is empty"},
		{"cut off", "{\n\"maker\":", "w.json:2:9: not JSON: the text ends"},
		{"syntax", "{\n\"maker\": Corvane}", "w.json:2:10"},
		{"type", "{\n\"maker\": 5}", "w.json:2:"},
		{"not UTF-8", "{\"maker\":\"Corvane Fr\xe8res\"}", "not UTF-8"},
		{"trailing text", watch() + "{}", "text after the end"},
		{"unknown field", `{"maker":"C","reference":"4","evidnce":[]}`, `"evidnce"`},
		{"newer", `{"schema":2,"maker":"C","reference":"4","evidence":[]}`, "use a newer midcase"},
		{"no maker", `{"reference":"4","evidence":[]}`, "maker: give the maker"},
		{"unknown kind", watch(item("a", ""), `{"id":"b","kind":"feeling","data":{}}`),
			`item b: field kind: “feeling” will not do`},
		{"same id", watch(item("a", ""), item("a", "")), "evidence[1] (a) id"},
		{"withdraws nothing", watch(withdraw("b", "zz")), `evidence[0] (b) data.of: “zz” will not do`},
		{"withdraws itself", watch(withdraw("b", "b")), "an earlier item"},
		{"withdraws a later item", watch(withdraw("b", "c"), item("c", "")), "an earlier item"},
		{"future", watch(strings.Replace(item("a", ""), "2026-02", "2027-02", 1)),
			"evidence[0] (a) at: 2027-02-01 will not do"},
	}
	for _, tt := range tests {
		_, err := ReadWatch(strings.NewReader(tt.text), "w.json", noon)
		if err == nil || !strings.Contains(err.Error(), tt.want) || !strings.HasPrefix(err.Error(), "w.json") {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.want)
		}
	}
}

// endless gives spaces for ever.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

func TestReadWatchStopsAtTheLimit(t *testing.T) {
	if _, err := ReadWatch(endless{}, "w.json", noon); err == nil || !strings.Contains(err.Error(), "more than 64 MB") {
		t.Error(err)
	}
	if _, err := ReadWatch(io.MultiReader(strings.NewReader("{"), failing{}), "w.json", noon); err == nil ||
		!strings.Contains(err.Error(), "disk") {
		t.Error(err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, fmt.Errorf("the disk is gone") }

// line builds a watch of marks a, b, … an hour apart, and withdrawals "x>a".
func line(items ...string) Watch {
	w := Watch{Maker: "Corvane", Reference: "KR-1"}
	for i, s := range items {
		id, of, isWithdrawal := strings.Cut(s, ">")
		it := Item{ID: ID(id), At: noon.Add(time.Duration(i) * time.Hour), By: "A",
			Data: &Mark{What: MarkOther, Text: id}}
		if isWithdrawal {
			it.Data = &Withdrawal{Of: ID(of), Reason: "r"}
		}
		w.Evidence = append(w.Evidence, it)
	}
	return w
}

func names(f File) (in, out string) {
	for _, it := range f.Items {
		in += string(it.ID)
	}
	for _, x := range f.Withdrawn {
		out += string(x.Item.ID) + "<" + string(x.Withdrawal.ID) + " "
	}
	return in, strings.TrimSpace(out)
}

func TestFold(t *testing.T) {
	tests := []struct {
		name    string
		w       Watch
		hours   int
		in, out string
	}{
		{"latest first", line("a", "b", "c"), 9, "cba", ""},
		{"withdrawn", line("a", "b", "x>a"), 9, "b", "a<x"},
		{"as of before the withdrawal", line("a", "b", "x>a"), 1, "ba", ""},
		{"as of the moment of recording", line("a", "b", "x>a"), 2, "b", "a<x"},
		{"as of before everything", line("a"), -1, "", ""},
		{"withdrawal withdrawn", line("a", "x>a", "y>x"), 9, "a", "x<y"},
		{"and again", line("a", "x>a", "y>x", "z>y"), 9, "", "y<z a<x"},
		{"and again, as of before", line("a", "x>a", "y>x", "z>y"), 2, "a", "x<y"},
		{"withdrawn twice", line("a", "x>a", "y>a"), 9, "", "a<x"},
		{"withdrawn twice, one taken back", line("a", "x>a", "y>a", "z>x"), 9, "", "x<z a<y"},
		{"nothing", Watch{}, 9, "", ""},
	}
	for _, tt := range tests {
		before := fmt.Sprint(tt.w)
		f := Fold(tt.w, noon.Add(time.Duration(tt.hours)*time.Hour))
		if in, out := names(f); in != tt.in || out != tt.out {
			t.Errorf("%s: in %q, out %q; want %q, %q", tt.name, in, out, tt.in, tt.out)
		}
		if fmt.Sprint(tt.w) != before {
			t.Errorf("%s: the watch was changed", tt.name)
		}
	}
}

// A clock set back does not bring a withdrawn item back, nor keep a withdrawn
// withdrawal in force.
func TestFoldDoesNotTrustTheClock(t *testing.T) {
	w := line("a", "x>a", "y>x")
	w.Evidence[2].At = w.Evidence[0].At
	if in, _ := names(Fold(w, noon.Add(time.Hour))); in != "a" {
		t.Errorf("in force: %q", in)
	}
}

// Every item recorded by then is in force, withdrawn or a withdrawal; order of
// recording at one time is kept; folding as of a later date never changes what was
// recorded earlier, only what is in force.
func TestFoldLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 12).Draw(t, "items")
		var w Watch
		for i := range n {
			it := Item{ID: ID(fmt.Sprint("e", i)), At: noon.Add(time.Duration(rapid.IntRange(0, 5).Draw(t,
				"hour")) * time.Hour), By: "A", Data: &Mark{What: MarkOther, Text: "x"}}
			if i > 0 && rapid.Bool().Draw(t, "withdrawal") {
				it.Data = &Withdrawal{Of: ID(fmt.Sprint("e", rapid.IntRange(0, i-1).Draw(t, "of"))), Reason: "r"}
			}
			w.Evidence = append(w.Evidence, it)
		}
		asOf := noon.Add(time.Duration(rapid.IntRange(-1, 6).Draw(t, "as of")) * time.Hour)
		f := Fold(w, asOf)
		state := map[ID]string{}
		for i, it := range f.Items {
			state[it.ID] = "in"
			if i > 0 && it.At.After(f.Items[i-1].At) {
				t.Fatal("not the latest first")
			}
		}
		holds := map[ID]bool{}
		for _, x := range f.Withdrawn {
			if state[x.Item.ID] != "" {
				t.Fatalf("%s is in force and withdrawn", x.Item.ID)
			}
			state[x.Item.ID] = "out"
			if x.Withdrawal.Data.(*Withdrawal).Of != x.Item.ID {
				t.Fatalf("%s withdrawn by a withdrawal of another", x.Item.ID)
			}
			holds[x.Withdrawal.ID] = true
		}
		for _, it := range w.Evidence {
			_, isWithdrawal := it.Data.(*Withdrawal)
			recorded := !it.At.After(asOf)
			switch {
			case !recorded && state[it.ID] != "":
				t.Fatalf("%s counts before it was recorded", it.ID)
			case recorded && !isWithdrawal && state[it.ID] == "":
				t.Fatalf("%s is lost", it.ID)
			case holds[it.ID] && state[it.ID] == "out":
				t.Fatalf("%s is withdrawn and holds", it.ID)
			}
		}
	})
}

func TestAll(t *testing.T) {
	f := Fold(Watch{Evidence: samples()}, noon.Add(48*time.Hour))
	marks := All[*Mark](f)
	if len(marks) != 1 || marks[0].Data.Text != "1 234 5?7" || marks[0].Item.ID != "ev_a" {
		t.Errorf("%+v", marks)
	}
	if len(All[*Finding](f)) != 0 {
		t.Error("a withdrawn finding counts")
	}
}

func TestSlots(t *testing.T) {
	for _, s := range Slots() {
		if !s.Valid() || s.Name() == "" || strings.Contains(s.Name(), "_") {
			t.Errorf("%s", s)
		}
	}
	if Slot("lug").Valid() || Slot("").Valid() {
		t.Error("a slot that is none")
	}
}

func FuzzReadWatch(f *testing.F) {
	b, err := json.Marshal(Watch{Maker: "Corvane", Reference: "KR-1", Evidence: samples()})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(b)
	f.Add([]byte(`{"maker":"C","reference":"4","evidence":[{"id":"e","kind":"mark","data":null}]}`))
	f.Add([]byte(`{"evidence":[null]}`))
	now := noon.Add(48 * time.Hour)
	f.Fuzz(func(t *testing.T, b []byte) {
		w, err := ReadWatch(bytes.NewReader(b), "w.json", now)
		if err != nil {
			return
		}
		out, err := json.Marshal(w)
		if err != nil {
			t.Fatalf("read and not written: %v", err)
		}
		again, err := ReadWatch(bytes.NewReader(out), "w.json", now)
		if err != nil {
			t.Fatalf("written and not read: %v\n%s", err, out)
		}
		once, _ := json.Marshal(again)
		if !bytes.Equal(out, once) {
			t.Fatalf("changed on the way:\n%s\n%s", out, once)
		}
		Fold(w, now)
	})
}
