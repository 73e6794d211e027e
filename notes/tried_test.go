package notes_test

import (
	"encoding/json"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/notes"
	"midcase/refbook"
)

// Work that is still to do is no fault of the part that would be new, and what it would cost stands beside it.
func TestWorkStillToDo(t *testing.T) {
	for text, want := range map[string]string{
		"needs a new gasket, about 80 euro":                   `{"what":"new gasket","cost":{"amount":"80.00","currency":"EUR"}}`,
		"needs a new gasket eighty euro":                      `{"what":"new gasket","cost":{"amount":"80.00","currency":"EUR"}}`,
		"crystal scratched needs replacing":                   `{"what":"new crystal","slot":"crystal"}`,
		"crown: needs to be replaced, est CHF 120":            `{"what":"new crown","slot":"crown","cost":{"amount":"120.00","currency":"CHF"}}`,
		"it needs a new crown":                                `{"what":"new crown","slot":"crown"}`,
		"Needs a new mainspring and a clean. Dial perfect.":   `{"what":"new mainspring"}`,
		"new crown fitted last year":                          "",
		"needs nothing":                                       "",
		"the new owner wants a box":                           "",
		"dial spotted, needs no work; new crystal since 2019": "",
	} {
		got, replaced := "", false
		for _, it := range notes.Read(text, notes.Options{}).Items {
			if n, ok := it.Data.(*evidence.Need); ok {
				b, err := json.Marshal(n)
				if err != nil {
					t.Fatal(err)
				}
				got += string(b)
			}
			f, ok := it.Data.(*evidence.Finding)
			replaced = replaced || ok && f.Term == "replaced"
		}
		if got != want || want != "" && replaced {
			t.Errorf("%q: %s, replaced %t; want %s", text, got, replaced, want)
		}
	}
}

// A stamp is read in the forms in which watches carry it, on the part that carries it; a numeral that counts versions is
// none, and a stamp is no serial number.
func TestDateStampsWithNumerals(t *testing.T) {
	for text, want := range map[string]string{
		"Back stamped II 66 inside.":                    "case_back II 66",
		"inside stamped III 68":                         "case_back III 68",
		"stamped II.66 inside the back":                 "case_back II.66",
		"date stamp IV/1966 inside the back":            "case_back IV/1966",
		"clasp III 68":                                  "clasp III 68",
		"clasp stamped 2 68":                            "clasp 2 68",
		"Bracelet: 18 mm, stamp XI 69":                  "bracelet XI 69",
		"stamp in the back reads three sixty eight":     "case_back 3-68",
		"dial mark II 66 hours":                         "",
		"the II 66 reference":                           "",
		"case back II 66 inside, clasp stamped III 68.": "case_back II 66, clasp III 68",
		"movement type III 68 jewels":                   "",
	} {
		var got []string
		for _, it := range notes.Read(text, notes.Options{}).Items {
			if m, ok := it.Data.(*evidence.Mark); ok {
				if m.What != evidence.MarkDateStamp {
					t.Errorf("%q: %s %s", text, m.What, m.Text)
				}
				got = append(got, string(m.Slot)+" "+m.Text)
			}
		}
		if s := strings.Join(got, ", "); s != want {
			t.Errorf("%q: stamps %q; want %q", text, s, want)
		}
	}
}

// A number behind the movement's calibre is the movement's; one by itself is not.
func TestNumberOfTheMovement(t *testing.T) {
	book := refbook.Book{Makers: []refbook.Maker{{ID: "m", Name: "Orbenau", Calibres: []refbook.Calibre{{ID: "C-41"}}}}}
	for text, want := range map[string]string{"movement C-41, no. 81446": "movement_number 81446",
		"Werk C-41, Nr. 81446, Zifferblatt mit Flecken": "movement_number 81446", "C-41. No. 81446": "serial 81446"} {
		got := ""
		for _, it := range notes.Read(text, notes.Options{Book: &book, Maker: "m"}).Items {
			if m, ok := it.Data.(*evidence.Mark); ok && m.What != evidence.MarkCalibre {
				got = m.What + " " + m.Text
			}
		}
		if got != want {
			t.Errorf("%q: %s; want %s", text, got, want)
		}
	}
}

func TestPowerReserve(t *testing.T) {
	for text, want := range map[string]float64{"power reserve 41 hours": 41, "power reserve of forty one hours": 41,
		"reserve: 38.5 h": 38.5, "sold without reserve 40 hours ago": 0, "power reserve 900 hours": 0, "reserve 4000": 0} {
		got := 0.0
		for _, it := range notes.Read(text, notes.Options{}).Items {
			if r, ok := it.Data.(*evidence.Trial); ok && r.What == evidence.TrialReserve && r.Unit == "h" {
				got = r.Value
			}
		}
		if got != want {
			t.Errorf("%q: %g hours; want %g", text, got, want)
		}
	}
	claimed := notes.Read("power reserve 41 hours, needs a new crown", notes.Options{Seller: true})
	for _, it := range claimed.Items {
		if it.Data.Kind() != evidence.KindClaim && strings.Contains(it.Text, "crown") {
			t.Errorf("a seller's word became %s", it.Data.Kind())
		}
	}
}
