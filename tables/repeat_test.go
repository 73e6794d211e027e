package tables_test

import (
	"testing"

	"midcase/tables"
)

func readText(t *testing.T, as tables.Kind, text string) tables.Reading {
	t.Helper()
	r, err := tables.Read([]byte(text), as, tables.Options{Book: loadBook(t), Now: today})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// A refusal further down counts, and one address under two names is two people until somebody says otherwise.
func TestRepeatedClients(t *testing.T) {
	t.Parallel()
	r := readText(t, tables.Clients, "Name,E-mail,Opt-in?\nJo Mossop,jo@mossop.example,yes\nJo Mossop,jo@mossop.example,no\n"+
		"Ann Lee,home@lee.example,yes\nBo Carr,home@lee.example,no\nIda Poll,ida@poll.example,opted out 3/2024\n")
	for i, want := range []string{"no", "no", "yes", "no", "no"} {
		if got := r.Rows[i].Fields["consent"]; got != want {
			t.Errorf("row %d: consent %v, want %s", i, got, want)
		}
	}
	if len(r.Repeated) != 1 || r.Repeated[0].Line != 3 {
		t.Errorf("repeated: %v", r.Repeated)
	}
}

// What the note takes back is no sale; a word that only looks so takes nothing back.
func TestSalesTakenBack(t *testing.T) {
	t.Parallel()
	r := readText(t, tables.Sales, "Date,Maker,Ref,Price,Remarks,Details\n2024-03-01,Tarnholt,K-31,EUR 5000,steel,returned by client\n"+
		"2024-03-02,Tarnholt,K-31,EUR 5100,returned from service in May,steel\n2024-03-03,Tarnholt,K-31,EUR 5200,unsold,\n"+
		"2024-03-04,Tarnholt,K-31,BI at 4000,,\n")
	if len(r.Rows) != 1 || r.Rows[0].Line != 3 || r.Rows[0].Fields["metal"] != "steel" {
		t.Errorf("rows: %+v", r.Rows)
	}
	if len(r.KeptOut) != 3 {
		t.Errorf("kept out: %v", r.KeptOut)
	}
}

// Subtotals, averages and the day of a list are no watches, and a count of the rows is no serial number.
func TestRowsThatAreNoWatches(t *testing.T) {
	t.Parallel()
	r := readText(t, tables.Stock, "No,Maker,Ref,Nummer,Cost\n1,Tarnholt,K-31,24310,EUR 3000\n2,Tarnholt,K-46,61204,EUR 4000\n"+
		"Totale parziale,,,,EUR 7000\n3,Tarnholt,K-46,61300,EUR 4000\n4,Pellisard,MV 218,9731,EUR 2000\n"+
		",Average,,,EUR 3250\n,Stand 31.08.2026,,,\n5,Pellisard,MV 218,9811,EUR 2000\n")
	if len(r.Rows) != 5 {
		t.Fatalf("rows: %+v", r.Rows)
	}
	if got := r.Rows[0].Fields["serial"]; got != "24310" {
		t.Errorf("serial %v", got)
	}
}
