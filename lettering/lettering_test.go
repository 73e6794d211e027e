package lettering_test

import (
	"fmt"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/gate"
	"midcase/lettering"
	"midcase/refbook"
	"midcase/say"
)

func knownWatch(t *testing.T, marks ...evidence.Mark) gate.Known {
	t.Helper()
	month := func(s string) edtf.Month {
		d, err := edtf.Parse(s)
		if err != nil {
			t.Fatal(err)
		}
		m, _ := d.FirstMonth()
		return m
	}
	made, err := edtf.Parse("1956/1963")
	if err != nil {
		t.Fatal(err)
	}
	m := &refbook.Maker{Name: "Torm", Calibres: []refbook.Calibre{{ID: "T 8"}},
		Serials: []refbook.Serial{{ID: "back", Mark: evidence.MarkSerial, Anchors: []refbook.Anchor{
			{Number: 14000, Month: month("1957-02")}, {Number: 31000, Month: month("1960-12")},
			{Number: 43000, Month: month("1963-02")}}}},
		References: []refbook.Reference{{ID: "K-31", Made: made, Serial: []string{"back"}}}}
	k := gate.Known{Maker: m, Reference: &m.References[0]}
	for i := range marks {
		k.File.Items = append(k.File.Items, evidence.Item{ID: evidence.ID(fmt.Sprint(i)), Data: &marks[i]})
	}
	return k
}

func words(s string) (out []lettering.Word) {
	for i, w := range strings.Fields(s) {
		at := lettering.Box{Middle: [2]float64{float64(100 * i), 50}, Radius: 30}
		out = append(out, lettering.Word{Text: w, Sure: 0.9, Box: at})
	}
	return out
}

func TestWhatIsRead(t *testing.T) {
	for _, c := range []struct{ line, want string }{
		{"26418", "serial 26418"},
		{"264I8", "serial 26418"}, // a one with serifs
		{"26 418", "serial 26418"},
		{"26.418", "serial 26418"},
		{"K-31", "reference_number K-31"},
		{"K 31", "reference_number K-31"},
		{"TORM K-31", "reference_number K-31; maker_mark TORM"},
		{"T8", "calibre T 8"},
		{"III 76", "date_stamp III 76"},
		{"II.66", "date_stamp II.66"},
		{"750", "hallmark 750"},
		{"18 K", "hallmark 18 K"},
		{"STAINLESS STEEL", "other STAINLESS STEEL"},
		{"ISOLDE", "other ISOLDE"}, // letters that look like figures are no number
		{"12", ""},
		{"1234567890123", ""},
		{"~~ .", ""},
	} {
		var got []string
		for _, p := range lettering.Propose([][]lettering.Word{words(c.line)}, "", knownWatch(t)) {
			got = append(got, p.Mark.What+" "+p.Mark.Text)
		}
		if s := strings.Join(got, "; "); s != c.want {
			t.Errorf("%q: %q, want %q", c.line, s, c.want)
		}
	}
}

func TestReadingsAreHeldAgainstFileAndBook(t *testing.T) {
	for _, c := range []struct {
		line, recorded, want string
		odd                  bool
	}{
		{"26418", "", "The book's numbers put 26418 at about November 1959.", false},
		{"26418", "26 418", "The file says 26 418, too.", false},
		{"26418", "26413", "The file says 26413: figure 5 differs. Look again at both.", true},
		{"26418", "36413", "The file says 36413: figures 1, 5 differ. Look again at both.", true},
		{"26418", "51977", "The file says 51977, not 26418.", true},
		{"926418", "", "The serial number 926418 is far above the numbers in the book, which end with 43000 " +
			"(February 1963). Did you mean 26418?", true},
	} {
		var marks []evidence.Mark
		if c.recorded != "" {
			marks = append(marks, evidence.Mark{What: evidence.MarkSerial, Text: c.recorded})
		}
		all := lettering.Propose([][]lettering.Word{words(c.line)}, "", knownWatch(t, marks...))
		if len(all) != 1 || len(all[0].Says) == 0 || all[0].Odd != c.odd {
			t.Fatalf("%s: %+v", c.line, all)
		}
		if got := fmt.Sprint(all[0].Says[0]); got != c.want {
			t.Errorf("%s beside %s: %q, want %q", c.line, c.recorded, got, c.want)
		}
	}
}

func TestOneMarkIsProposedOnce(t *testing.T) {
	unsure := words("26418")
	unsure[0].Sure = 0.6
	all := lettering.Propose([][]lettering.Word{unsure, words("26418"), words("2641B")}, "", knownWatch(t))
	if len(all) != 1 || all[0].Sure != 0.9 {
		t.Errorf("%+v, want the surest once", all)
	}
	unsure[0].Sure = 0.3
	if all := lettering.Propose([][]lettering.Word{unsure}, "", knownWatch(t)); len(all) != 0 {
		t.Errorf("%+v, want nothing of a word that was hardly read", all)
	}
}

// Without a book a number is that of the part in the picture.
func TestWithoutABook(t *testing.T) {
	for slot, want := range map[evidence.Slot]string{"": evidence.MarkSerial, evidence.CaseBack: evidence.MarkSerial,
		evidence.Movement: evidence.MarkMovementNumber} {
		all := lettering.Propose([][]lettering.Word{words("26418")}, slot, gate.Known{})
		if len(all) != 1 || all[0].Mark.What != want {
			t.Errorf("%q: %+v, want %s", slot, all, want)
		}
	}
	if all := lettering.Propose([][]lettering.Word{words("26418")}, evidence.Clasp, gate.Known{}); len(all) != 0 {
		t.Errorf("a number on a clasp: %+v, want nothing", all)
	}
}

func FuzzPropose(f *testing.F) {
	f.Add("26 418 K-31 750 III 76", 0.9)
	f.Add("‘’ ° 0O0", 2.0)
	f.Fuzz(func(t *testing.T, line string, sure float64) {
		ws := words(line)
		for i := range ws {
			ws[i].Sure = sure
		}
		for _, p := range lettering.Propose([][]lettering.Word{ws}, "", gate.Known{}) {
			if bad := p.Mark.Check(); sure <= 1 && len(bad) > 0 {
				t.Errorf("%q: %v", line, bad)
			}
			for _, s := range p.Says {
				_ = say.That("lettering.kind", say.Saying("mark", s))
			}
		}
	})
}
