package desk_test

import (
	"fmt"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/demo"
	"midcase/internal/shop/desk"
	"midcase/refbook"
)

func ear(t testing.TB) desk.Ear {
	t.Helper()
	book, err := refbook.Load(demo.Book())
	if err != nil {
		t.Fatal(err)
	}
	return desk.Ear{Book: book, Met: desk.MetInBook(book), Year: 2026, Currency: "EUR"}
}

// heard is an inquiry in a line, without what was seen of parts other than box, papers and dial.
func heard(q desk.Inquiry) string {
	out := []string{q.Reference}
	add := func(name string, v any) {
		if text := fmt.Sprint(v); text != "" && text != "0" && text != "[]" {
			out = append(out, name+"="+text)
		}
	}
	add("serial", q.Serial)
	add("year", q.Year)
	if !q.Asked.IsZero() {
		add("asked", q.Asked)
	}
	add("set", q.Set)
	add("metal", q.Metal)
	for _, d := range q.Seen {
		if c, ok := d.(*evidence.Claim); ok {
			add(c.About, c.Text)
		}
		if f, ok := d.(*evidence.Fitted); ok {
			says := f.Variant
			if f.Description != "" {
				says = f.Description
			}
			if f.Absent {
				says = "none"
			}
			add(string(f.Slot), says)
		}
	}
	add("note", q.Note)
	return strings.Join(out, " ")
}

func TestWhatIsHeard(t *testing.T) {
	e := ear(t)
	for line, want := range map[string]string{
		"KR-1 414459 silver dial box 5200":       "Corvane KR-1 serial=414459 asked=5200.00 EUR box=unknown dial=silver dial",
		"KR-1 414459 black dial full set 5200":   "Corvane KR-1 serial=414459 asked=5200.00 EUR set=full dial=black dial",
		"corvane kr1 414459 no box or papers 5k": "Corvane KR-1 serial=414459 asked=5000.00 EUR set=watch",
		"KR-1 no box no papers":                  "Corvane KR-1 set=watch",
		"KR-1 no papers but box":                 "Corvane KR-1 set=watch box=unknown",
		"KR-1 with papers, no box, 5200":         "Corvane KR-1 asked=5200.00 EUR set=papers box=none",
		"KR-1 box and papers 5200":               "Corvane KR-1 asked=5200.00 EUR set=full",
		"KR-1 papers":                            "Corvane KR-1 set=papers",
		"KR-1 5.2k 414459":                       "Corvane KR-1 serial=414459 asked=5200.00 EUR",
		"KR-1 5200 414459":                       "Corvane KR-1 serial=414459 asked=5200.00 EUR",
		"KR-1 414459":                            "Corvane KR-1 serial=414459",
		"KR-1 12500":                             "Corvane KR-1 asked=12500.00 EUR",
		"KR-1 serial 12500":                      "Corvane KR-1 serial=12500",
		"KR-1 414459 12500":                      "Corvane KR-1 serial=414459 asked=12500.00 EUR",
		"KR-1 12500 414459":                      "Corvane KR-1 serial=414459 asked=12500.00 EUR",
		"KR-1 1968":                              "Corvane KR-1 year=1968",
		"KR-1 1968 5200":                         "Corvane KR-1 year=1968 asked=5200.00 EUR",
		"KR-1 5200 1968":                         "Corvane KR-1 year=1968 asked=5200.00 EUR",
		"KR-1 1968 1950":                         "Corvane KR-1 year=1968 asked=1950.00 EUR",
		"KR-1 1968 asks 1950":                    "Corvane KR-1 year=1968 asked=1950.00 EUR",
		"KR-1 1,950 EUR":                         "Corvane KR-1 asked=1950.00 EUR",
		"KR-1 asking CHF 5'200":                  "Corvane KR-1 asked=5200.00 CHF",
		"KR-1 €5,200":                            "Corvane KR-1 asked=5200.00 EUR",
		"KR-1 5200 dollars":                      "Corvane KR-1 asked=5200.00 USD",
		"KR-1 5200eur 414459":                    "Corvane KR-1 serial=414459 asked=5200.00 EUR",
		"611 5200":                               "Halmstedt & Roy 611 asked=5200.00 EUR",
		"H&R 611 350089 7k":                      "Halmstedt & Roy 611 serial=350089 asked=7000.00 EUR",
		"Halmstedt & Roy 620 608785":             "Halmstedt & Roy 620 serial=608785",
		"kr-1 1968 platinum":                     "Corvane KR-1 year=1968 metal=platinum",
		"KR-1 18k gold 414459 9k":                "Corvane KR-1 serial=414459 asked=9000.00 EUR metal=gold18",
		"KR-1 steel 9k":                          "Corvane KR-1 asked=9000.00 EUR metal=steel",
		"KR-1 gold 18k 12k":                      "Corvane KR-1 asked=12000.00 EUR metal=gold18",
		"KR-1 414459 gold asks 18k":              "Corvane KR-1 serial=414459 asked=18000.00 EUR metal=gold18",
		"OS-10 4215848 gilt dial box 3,900":      "Ostrel OS-10 serial=4215848 asked=3900.00 EUR box=unknown dial=gilt dial",
	} {
		q, err := e.Hear(line)
		if got := heard(q); err != nil || got != want {
			t.Errorf("%q is heard as\n  %s; want\n  %s (%v)", line, got, want, err)
		}
	}
	for _, line := range []string{"", "something nice", "5200", "box and papers"} {
		if q, err := e.Hear(line); err == nil {
			t.Errorf("%q is heard as %s; want to be asked for the reference", line, heard(q))
		}
	}
}

func FuzzHear(f *testing.F) {
	for _, line := range []string{"KR-1 414459 silver dial box 5200", "KR-1 €", "k 5.k 18k gold", "no box", "611 611 611"} {
		f.Add(line)
	}
	e := ear(f)
	f.Fuzz(func(t *testing.T, line string) {
		q, err := e.Hear(line)
		if err == nil && q.Serial != "" && q.Asked.Amount() == q.Serial+".00" && strings.Count(line, q.Serial) < 2 {
			t.Errorf("%q: %s is both number and price", line, q.Serial)
		}
	})
}

// "ref" before a reference is understood, and a reference that nobody knows is answered with the nearest.
func TestReferencesNobodyKnows(t *testing.T) {
	ear := desk.Ear{Book: &refbook.Book{}, Year: 2026, Currency: "EUR",
		Met: []desk.Met{{Maker: "Vexmoor", Reference: "MV 4410", Sales: 3}}}
	if q, err := ear.Hear("ref mv 4410 steel"); err != nil || q.Note != "" || q.Reference != "Vexmoor MV 4410" {
		t.Errorf("%+v, %v; want the reference and nothing left over", q, err)
	}
	if _, err := ear.Hear("mv 4419"); err == nil || !strings.Contains(err.Error(), "the nearest: Vexmoor MV 4410") {
		t.Errorf("%v; want the nearest", err)
	}
	if _, err := ear.Hear("t 218"); err == nil || !strings.Contains(err.Error(), "such as Vexmoor MV 4410") {
		t.Errorf("%v; want a reference of the shop's as an example", err)
	}
}
