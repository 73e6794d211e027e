package examples_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/examples"
	"midcase/refbook"
	"midcase/say"
)

// bookText is a reference whose second bezel the book has two years late.
const bookText = `schema: 1
id: lindgard
name: Lindgard
metals: [{id: steel, name: Steel}]
calibres: [{id: "L-2", beats_per_hour: 18000, jewels: 15, winding: hand}]
families: [{id: field, name: Field, kind: time_only}]
serials:
  - id: main
    mark: serial
    scatter_months: 3
    anchors:
      - {number: 200000, month: "1961-01"}
      - {number: 260000, month: "1964-01"}
      - {number: 330000, month: "1969-01"}
references:
  - id: L-9
    name: Field watch
    family: field
    made: 1962/1967
    metal: steel
    calibres: ["L-2"]
    serial: [main]
    slots:
      - slot: bezel
        replaced: 0.1
        variants:
          - id: wide
            name: Wide bezel
            windows: [{made: 1962/1966-06}]
          - id: narrow
            name: Narrow bezel
            windows: [{made: 1966-07/1967}]
          - id: late
            name: Bezel from the spares drawer
            service: true
            supplied: 1970/1980
`

func book() *refbook.Book {
	b, err := refbook.LoadTexts(map[string][]byte{"lindgard.yaml": []byte(bookText)})
	if err != nil {
		panic(err)
	}
	return b
}

func learn(t *testing.T, seen []examples.Example) examples.Learned {
	t.Helper()
	all := examples.LearnAll(book(), seen, "L-9")
	if len(all) != 1 {
		t.Fatalf("%d references; want 1", len(all))
	}
	return all[0]
}

// world draws watches of a reference whose bezel changed in a month, of which one in ten was swapped since.
func world(r *rand.Rand, n int, change float64) []examples.Example {
	first, last := edtf.MonthOf(1962, 1), edtf.MonthOf(1967, 12)
	var out []examples.Example
	for i := range n {
		made := float64(first) + r.Float64()*float64(last-first)
		version := "wide"
		if made+1.5*r.NormFloat64() > change {
			version = "narrow"
		}
		if r.Float64() < 0.1 {
			version = []string{"wide", "narrow"}[r.IntN(2)]
		}
		out = append(out, examples.Example{ID: fmt.Sprint(i), Maker: "Lindgard", Reference: "L-9",
			Made:  edtf.MustParse(edtf.Month(made).String()),
			Parts: map[evidence.Slot]string{evidence.Bezel: version}})
	}
	return out
}

// Forty examples with a tenth of swapped parts correct a book that is about two years off: the learned month is within
// six months of the truth in the middle, and the 90 % range holds it as often as it says. The truth is drawn here, not
// taken from the model: a change over six weeks, swaps of either kind.
func TestBookTwoYearsOffIsCorrected(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(4, 9))
	const worlds = 120
	var errs []float64
	held, proposed := 0, 0
	for range worlds {
		change := float64(edtf.MonthOf(1964, 1)) + 12*r.Float64()
		l := learn(t, world(r, 40, change))
		tr := l.Slots[0].Transitions[0]
		errs = append(errs, math.Abs(float64(tr.Month)-0.5-change))
		if float64(tr.Interval90[0])-1 <= change && change <= float64(tr.Interval90[1]) {
			held++
		}
		if len(l.Slots[0].Proposals) == 2 {
			proposed++
		}
	}
	slices.Sort(errs)
	t.Logf("median error %.1f months, held %d, proposed %d of %d", errs[worlds/2], held, proposed, worlds)
	if errs[worlds/2] >= 6 {
		t.Errorf("median error %.1f months; want under 6", errs[worlds/2])
	}
	if share := float64(held) / worlds; share < 0.82 || share > 0.98 { // 0.9 ± 3 standard errors of 120 worlds
		t.Errorf("90 %% ranges held %.3f", share)
	}
	if proposed < worlds*9/10 {
		t.Errorf("the book was corrected in %d of %d worlds", proposed, worlds)
	}
}

// A book that is right is left alone, and thin examples correct nothing.
func TestRightBookStays(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 7))
	touched := 0
	const worlds = 60
	for range worlds {
		l := learn(t, world(r, 40, float64(edtf.MonthOf(1966, 7))))
		touched += min(len(l.Slots[0].Proposals), 1)
	}
	if touched > worlds/5 { // a 90 % range misses one in ten
		t.Errorf("a right book was changed in %d of %d worlds", touched, worlds)
	}
	if l := learn(t, world(r, 3, float64(edtf.MonthOf(1964, 1)))); len(l.Slots[0].Proposals) != 0 {
		t.Errorf("three examples changed the book: %+v", l.Slots[0].Proposals)
	}
}

func TestWhatIsKeptOut(t *testing.T) {
	t.Parallel()
	table := `serial,made,bezel,source
230000,,wide,a fair
230000,,wide,the same one again
,1963,narrow,
250000,1967-06,wide,
,,wide,no date
999999,,wide,beyond
worn,,wide,unreadable
240000,,Bezel from the spares drawer,
`
	seen, bad, err := examples.Read(strings.NewReader(table), "seen.csv", "lindgard", "l-9")
	if err != nil || len(bad) != 0 {
		t.Fatalf("%v, %v", bad, err)
	}
	l := learn(t, seen)
	if l.Examples != 3 || len(l.Repeated) != 1 || len(l.KeptOut) != 4 {
		t.Fatalf("%d examples, %v repeated, %v kept out", l.Examples, l.Repeated, l.KeptOut)
	}
	for i, want := range []string{"one of them is wrong", "neither number nor date", "outside the numbers",
		"no serial number"} {
		if !strings.Contains(l.KeptOut[i].Reason, want) {
			t.Errorf("%s: %s; want %q in it", l.KeptOut[i].ID, l.KeptOut[i].Reason, want)
		}
	}
	if n := l.Slots[0].Examples; n != 2 {
		t.Errorf("%d examples of the bezel; the service part says nothing", n)
	}
}

func TestTableIsRefused(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"":                           "no row of headings",
		"serial,made\n":              "no column of a part",
		"serial,dial colour\n":       "column 2 is called “dial colour”",
		"serial,dial\n\"open,a\nb\n": "seen.csv",
	} {
		if _, _, err := examples.Read(strings.NewReader(text), "seen.csv", "", ""); err == nil ||
			!strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v; want %q in it", text, err, want)
		}
	}
	seen, _, err := examples.Read(strings.NewReader("\ufeffMade;Dial\n1964;cream\n"), "seen.csv", "", "")
	if err != nil || len(seen) != 1 || seen[0].Parts[evidence.Dial] != "cream" {
		t.Errorf("with semicolons: %v, %v", seen, err)
	}
	_, bad, err := examples.Read(strings.NewReader("made,dial\n31 May,cream\n"), "seen.csv", "", "")
	if err != nil || len(bad) != 1 || !strings.Contains(bad[0].Reason, "31 May") {
		t.Errorf("%v, %v", bad, err)
	}
}

// What is proposed is written into the book's text and read back; nothing beside those lines changes.
func TestEditOfTheBook(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1, 2))
	seen := world(r, 60, float64(edtf.MonthOf(1964, 6)))
	l := learn(t, seen)
	text, left := examples.Edit([]byte(bookText), []examples.Learned{l})
	if len(left) != 0 {
		t.Fatalf("left: %v", left)
	}
	if _, err := refbook.LoadTexts(map[string][]byte{"lindgard.yaml": text}); err != nil {
		t.Fatalf("the edited book does not load: %v", err)
	}
	was, now := strings.Split(bookText, "\n"), strings.Split(string(text), "\n")
	changed := 0
	for i := range was {
		if was[i] != now[i] {
			changed++
		}
	}
	if len(was) != len(now) || changed != 2 {
		t.Errorf("%d lines changed; want 2:\n%s", changed, text)
	}
	b, _ := refbook.LoadTexts(map[string][]byte{"lindgard.yaml": text})
	if again := examples.LearnAll(b, seen, ""); len(again[0].Slots[0].Proposals) != 0 {
		t.Errorf("learned again, the corrected book would change: %+v", again[0].Slots[0].Proposals)
	}
}

// One early watch with the late bezel is named, with its slot.
func TestMisfitIsNamed(t *testing.T) {
	t.Parallel()
	var seen []examples.Example
	for i := range 40 {
		version := "wide"
		if i >= 20 || i == 2 {
			version = "narrow"
		}
		seen = append(seen, examples.Example{ID: fmt.Sprint("no. ", i), Maker: "Lindgard", Reference: "L-9",
			Made:  edtf.MustParse((edtf.MonthOf(1962, 1) + edtf.Month(i)).String()),
			Parts: map[evidence.Slot]string{evidence.Bezel: version}})
	}
	m := learn(t, seen).Slots[0].Misfits
	if len(m) != 1 || m[0].Example != "no. 2" || !strings.Contains(say.Statement.String(m[0].Says), "bezel") {
		t.Errorf("misfits %+v; want no. 2 alone", m)
	}
}

// three is a slot with three versions in a row.
const three = `schema: 1
id: lindgard
name: Lindgard
metals: [{id: steel, name: Steel}]
calibres: [{id: "L-2", beats_per_hour: 18000, jewels: 15, winding: hand}]
families: [{id: field, name: Field, kind: time_only}]
references:
  - id: L-9
    name: Field watch
    family: field
    made: 1960/1972
    metal: steel
    calibres: ["L-2"]
    serial: []
    slots:
      - slot: bezel
        replaced: 0.1
        variants:
          - {id: first, name: First bezel, windows: [{made: 1960/1963}]}
          - {id: middle, name: Middle bezel, windows: [{made: 1964/1967}]}
          - {id: last, name: Last bezel, windows: [{made: 1968/1972}]}
`

func dated(id int, year int, bezel string) examples.Example {
	return examples.Example{ID: fmt.Sprint(id), Maker: "Lindgard", Reference: "L-9",
		Made: edtf.MustParse(fmt.Sprintf("%d-06", year)), Parts: map[evidence.Slot]string{evidence.Bezel: bezel}}
}

// A version of the book that no example shows is not learned away, one that was named once is no discovery, and a part
// that nobody could name says nothing.
func TestUnseenAndRareVersions(t *testing.T) {
	t.Parallel()
	b, err := refbook.LoadTexts(map[string][]byte{"lindgard.yaml": []byte(three)})
	if err != nil {
		t.Fatal(err)
	}
	var seen []examples.Example
	for i := range 12 {
		seen = append(seen, dated(i, 1960+i%4, "first"), dated(100+i, 1969+i%4, "last"))
	}
	seen = append(seen, dated(200, 1970, evidence.Unknown), dated(201, 1961, evidence.Unknown))
	bezel := examples.LearnAll(b, seen, "L-9")[0].Slots[0]
	if len(bezel.Proposals) > 0 || len(bezel.Versions) != 2 || !bezel.Transitions[0].Thin {
		t.Errorf("two versions of three were seen: %+v", bezel)
	}
	seen = append(seen, dated(202, 1965, "wavy"))
	for _, p := range examples.LearnAll(b, seen, "L-9")[0].Slots[0].Proposals {
		t.Errorf("one example speaks for %+v", p)
	}
}

// One watch is one example, however its number is written; its latest extract and what is fitted now count.
func TestOfAWatchFile(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	w := evidence.Watch{ID: "w_1", Maker: "Lindgard", Reference: "L-9"}
	for i, d := range []evidence.Data{
		&evidence.Document{What: "archive_extract", MadeDate: edtf.MustParse("1963-02")},
		&evidence.Fitted{Slot: evidence.Bezel, Variant: "wide"},
		&evidence.Document{What: "archive_extract", MadeDate: edtf.MustParse("1963-11")},
		&evidence.Fitted{Slot: evidence.Bezel, Absent: true},
		&evidence.Mark{What: evidence.MarkSerial, Slot: evidence.Case, Text: "214 459"},
	} {
		w.Evidence = append(w.Evidence, evidence.Item{ID: evidence.ID(fmt.Sprintf("e%d", i)),
			At: at.Add(time.Duration(i) * time.Hour), By: "Ines", Data: d})
	}
	e := examples.Of("file.json", evidence.Fold(w, at.AddDate(0, 1, 0)))
	if e.Made.String() != "1963-11" || len(e.Parts) != 0 {
		t.Errorf("made %s, parts %v; want the latest extract, and no bezel", e.Made, e.Parts)
	}
	again := e
	again.ID, again.Serial, again.Made = "seen.csv, line 4", "214459", edtf.MustParse("1963-11")
	if l := learn(t, []examples.Example{e, again}); len(l.Repeated) != 1 {
		t.Errorf("one watch is counted as %d", 2-len(l.Repeated))
	}
}
