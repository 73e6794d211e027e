package bank_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"midcase/internal/bank"
	"midcase/money"
)

var now = time.Date(2026, 11, 30, 0, 0, 0, 0, time.UTC)

func read(t *testing.T, text string, order string) bank.Statement {
	t.Helper()
	all, err := bank.Read([]byte(text), bank.Options{Currency: "EUR", Now: now, DayOrder: order})
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return all[0]
}

func amounts(s bank.Statement) string {
	var out []string
	for _, l := range s.Lines {
		out = append(out, l.Day+" "+l.Amount.String())
	}
	return strings.Join(out, "; ")
}

// The forms are those that banks write; common practice, no published source.
func TestTablesOfBanks(t *testing.T) {
	const want = "2026-11-02 8200.00 EUR; 2026-11-13 -1234.50 EUR"
	for name, text := range map[string]string{
		"signs":           "Date,Description,Amount\n2026-11-02,Invoice 2026-0001,8200.00\n2026-11-13,Rent,-1234.50\n",
		"German":          "Buchungstag;Verwendungszweck;Betrag\n02.11.2026;Rechnung;8.200,00\n13.11.2026;Miete;-1.234,50\n",
		"sign behind":     "Buchungstag;Verwendungszweck;Betrag (EUR)\n02.11.2026;Rechnung;8.200,00\n13.11.2026;Miete;1.234,50-\n",
		"Soll und Haben":  "Buchungstag;Text;Soll;Haben\n02.11.2026;Rechnung;;8.200,00\n13.11.2026;Miete;1.234,50;\n",
		"mark":            "Buchungstag;Verwendungszweck;Umsatz;Soll/Haben\n02.11.2026;R;8.200,00;H\n13.11.2026;M;1.234,50;S\n",
		"paid out and in": "Date,Details,Paid out,Paid in,Balance\n02/11/2026,Invoice,,\"8,200.00\",\"9,200.00\"\n13/11/2026,Rent,\"1,234.50\",,\"7,965.50\"\n",
		"signed debit":    "Date\tDebit\tCredit\tLibellé\n2026-11-02\t0\t8200\tFacture\n2026-11-13\t-1234,50\t0\tLoyer\n",
		"brackets":        "Transaction date,Amount\n11/02/2026,8200.00\n11/13/2026,(1234.50)\n",
		"DR":              "Date,Amount\n2026-11-02,8200.00 CR\n2026-11-13,1234.50 DR\n",
		"head and spaces": "Account statement\nIBAN;NL91ABNA0417164300\n\nDatum;Montant;Devise\n02.11.2026;8 200,00;EUR\n13.11.2026;-1 234,50;EUR\n",
	} {
		if got := amounts(read(t, text, "")); got != want {
			t.Errorf("%s: %s; want %s", name, got, want)
		}
	}
}

func TestWhatATableDoesNotSay(t *testing.T) {
	s := read(t, "Date,Amount\n03/04/2026,10.00\n05/06/2026,-1.00\n", "")
	if len(s.Lines) != 0 || !strings.Contains(strings.Join(s.Says, " "), "day or the month comes first") {
		t.Errorf("%+v", s)
	}
	if got := amounts(read(t, "Date,Amount\n03/04/2026,10.00\n05/06/2026,-1.00\n", "month-first")); got !=
		"2026-03-04 10.00 EUR; 2026-05-06 -1.00 EUR" {
		t.Error(got)
	}
	if s := read(t, "Date,Amount\n2026-03-04,10.00\n", ""); !strings.Contains(strings.Join(s.Says, " "),
		"no column says debit") {
		t.Errorf("one sign: %v", s.Says)
	}
	if s := read(t, "Date,Amount,Balance\n2026-03-04,10.00,110\n2026-03-05,-1.00,105\n", ""); !strings.Contains(
		strings.Join(s.Says, " "), "does not add up") {
		t.Errorf("balances that jump: %v", s.Says)
	}
	down := read(t, "Date,Amount,Balance\n2026-03-05,-1.00,109\n2026-03-04,10.00,110\n", "")
	if len(down.Says) > 0 || down.Opening.String() != "100.00 EUR" || down.Closing.String() != "109.00 EUR" {
		t.Errorf("newest first: %+v", down)
	}
	for _, text := range []string{"", "a,b\n1,2\n", "<x/>", "<Document><BkToCstmrStmt/></Document>", "<Document"} {
		if _, err := bank.Read([]byte(text), bank.Options{Now: now}); !errors.Is(err, bank.ErrStatement) {
			t.Errorf("%q gives %v", text, err)
		}
	}
}

// camt is a statement in a version of CAMT.053; the elements are those of the message definition (ISO 20022, from
// memory of the published schema), the figures made up.
func camt(version, closing string) string {
	name := `<Dbtr><Nm>B. Buyer</Nm></Dbtr>`
	state := "<Sts>BOOK</Sts>"
	if version >= "08" { // since then a party stands in Pty, and the state in Cd
		name, state = `<Dbtr><Pty><Nm>B. Buyer</Nm></Pty></Dbtr>`, "<Sts><Cd>BOOK</Cd></Sts>"
	}
	return fmt.Sprintf(`<?xml version="1.0" encoding="UTF-8"?>
<Document xmlns="urn:iso:std:iso:20022:tech:xsd:camt.053.001.%s"><BkToCstmrStmt><GrpHdr><MsgId>1</MsgId></GrpHdr>
<Stmt><Id>S1</Id><Acct><Id><IBAN>NL91ABNA0417164300</IBAN></Id></Acct>
<Bal><Tp><CdOrPrtry><Cd>OPBD</Cd></CdOrPrtry></Tp><Amt Ccy="EUR">1000.00</Amt><CdtDbtInd>CRDT</CdtDbtInd></Bal>
<Bal><Tp><CdOrPrtry><Cd>CLBD</Cd></CdOrPrtry></Tp><Amt Ccy="EUR">%s</Amt><CdtDbtInd>CRDT</CdtDbtInd></Bal>
<Ntry><Amt Ccy="EUR">8190.00</Amt><CdtDbtInd>CRDT</CdtDbtInd>%s<BookgDt><Dt>2026-11-02</Dt></BookgDt><AcctSvcrRef>A1</AcctSvcrRef>
 <NtryDtls><TxDtls><Refs><EndToEndId>NOTPROVIDED</EndToEndId></Refs>
 <AmtDtls><InstdAmt><Amt Ccy="USD">9000.00</Amt></InstdAmt></AmtDtls>
 <Chrgs><Rcrd><Amt Ccy="EUR">10.00</Amt><CdtDbtInd>DBIT</CdtDbtInd></Rcrd></Chrgs>
 <RltdPties>%s</RltdPties><RmtInf><Ustrd>Invoice</Ustrd><Ustrd>2026-0001</Ustrd></RmtInf></TxDtls></NtryDtls></Ntry>
<Ntry><Amt Ccy="EUR">300.00</Amt><CdtDbtInd>DBIT</CdtDbtInd>%s<BookgDt><DtTm>2026-11-03T10:00:00</DtTm></BookgDt>
 <NtryDtls><TxDtls><AmtDtls><TxAmt><Amt Ccy="EUR">100.00</Amt></TxAmt></AmtDtls></TxDtls>
 <TxDtls><Amt Ccy="EUR">200.00</Amt><CdtDbtInd>DBIT</CdtDbtInd></TxDtls></NtryDtls></Ntry>
<Ntry><Amt Ccy="EUR">5.00</Amt><CdtDbtInd>DBIT</CdtDbtInd><Sts>PDNG</Sts><BookgDt><Dt>2026-11-04</Dt></BookgDt></Ntry>
</Stmt></BkToCstmrStmt></Document>`, version, closing, state, name, state)
}

func TestCAMTOfSeveralVersions(t *testing.T) {
	for _, version := range []string{"02", "04", "08", "10"} {
		s := read(t, camt(version, "8890.00"), "")
		if got := amounts(s); got != "2026-11-02 8190.00 EUR; 2026-11-03 -100.00 EUR; 2026-11-03 -200.00 EUR" {
			t.Errorf("%s: %s", version, got)
		}
		if l := s.Lines[0]; l.Name != "B. Buyer" || l.Text != "Invoice 2026-0001" || l.Reference != "" ||
			l.Charges.String() != "10.00 EUR" || l.Original.String() != "9000.00 USD" {
			t.Errorf("%s: %+v", version, l)
		}
		if len(s.Says) != 1 || !strings.Contains(s.Says[0], "not booked by the bank yet") {
			t.Errorf("%s says %v", version, s.Says)
		}
	}
	if s := read(t, camt("08", "8890.01"), ""); !strings.Contains(strings.Join(s.Says, " "), "does not add up") {
		t.Errorf("a statement that does not add up says %v", s.Says)
	}
	a, b := read(t, camt("08", "8890.00"), ""), read(t, camt("08", "8890.00"), "")
	if a.Lines[1].Key != b.Lines[1].Key || a.Lines[1].Key == a.Lines[2].Key {
		t.Error("keys are not the same again, or not apart")
	}
}

func open(id, party, name, amount, since string, numbers ...string) bank.Open {
	return bank.Open{ID: id, Account: "assets:receivable", Party: party, Name: name, Since: since, Numbers: numbers,
		Amount: money.MustParse(amount, "EUR")}
}

func TestMatching(t *testing.T) {
	all := []bank.Open{open("1", "c_a", "Bruno Vale", "8200.00", "2026-10-20", "2026-0001"),
		open("2", "c_a", "Bruno Vale", "1500.00", "2026-10-21", "2026-0002"),
		open("3", "c_b", "Müller & Söhne GmbH", "700.00", "2026-10-22"),
		open("4", "c_s", "Selma Lund", "-4000.00", "2026-10-01", "K-77")}
	for _, c := range []struct {
		amount, name, text string
		want               string // ids, amounts
		least, most        float64
	}{
		{"8200.00", "", "Re. 2026-0001 thank you", "1:8200.00", 0.99, 1},
		{"8200.00", "", "Re. 2026 0001", "1:8200.00", 0.99, 1},
		{"8200.00", "", "RE20260001", "1:8200.00", 0.99, 1},
		{"8200.00", "VALE BRUNO", "watch", "1:8200.00", 0.9, 0.95},
		{"3000.00", "", "2026-0001, first part", "1:3000.00", 0.8, 0.9},
		{"9700.00", "", "2026-0001 + 2026-0002", "1:8200.00 2:1500.00", 0.95, 1},
		{"9700.00", "Bruno Vale", "both", "1:8200.00 2:1500.00", 0.75, 0.85},
		{"700.00", "Mueller", "", "3:700.00", 0.55, 0.65},
		{"700.00", "Muller Sohne", "", "3:700.00", 0.9, 0.95},
		{"-4000.00", "Lund, Selma", "", "4:-4000.00", 0.9, 0.95},
		{"-4000.00", "", "your K-77", "4:-4000.00", 0.5, 0.65},
		{"8200.00", "", "92026-00018", "1:8200.00", 0.55, 0.65},
		{"8300.00", "", "2026-0001", "1:8200.00", 0.45, 0.55},
		{"42.00", "Nobody", "", "", 0, 0},
		{"-12.00", "", "Kontoführung November", "fee", 0.85, 1},
		{"-8200.00", "", "2026-0001", "", 0, 0},
	} {
		l := bank.Line{Day: "2026-11-02", Amount: money.MustParse(c.amount, "EUR"), Name: c.name, Text: c.text}
		p := bank.Match([]bank.Line{l}, all)[0]
		var got []string
		for _, x := range p.Parts {
			got = append(got, x.Open.ID+":"+x.Amount.Amount())
		}
		if p.Fee {
			got = append(got, "fee")
		}
		if strings.Join(got, " ") != c.want || p.Sure < c.least || p.Sure > c.most {
			t.Errorf("%s “%s” “%s” is %v at %.2f (%v); want %s", c.amount, c.name, c.text, got, p.Sure, p.Why, c.want)
		}
	}

	// One invoice is paid once: the surer line has it. Charges on the way count to what was sent.
	two := []bank.Line{{Number: 1, Day: "2026-11-02", Amount: money.MustParse("8200.00", "EUR")},
		{Number: 2, Day: "2026-11-03", Amount: money.MustParse("8190.00", "EUR"), Charges: money.MustParse("10.00",
			"EUR"),
			Text: "2026-0001"}}
	got := bank.Match(two, all)
	if len(got[0].Parts) != 0 || got[1].Sure < 0.99 || got[1].Parts[0].Amount.Amount() != "8200.00" {
		t.Errorf("%+v", got)
	}
	// Nothing is paid before it was owed.
	early := bank.Match([]bank.Line{{Day: "2026-10-01", Amount: money.MustParse("8200.00", "EUR"),
		Text: "2026-0001"}}, all)
	if len(early[0].Parts) != 0 {
		t.Errorf("a payment before the sale: %+v", early)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(camt("08", "8890.00")))
	f.Add([]byte("Date,Debit,Credit,Balance\n2026-11-02,,8200,8200\n"))
	f.Add([]byte("Buchungstag;Betrag\n02.11.2026;8.200,00-\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		all, err := bank.Read(b, bank.Options{Currency: "EUR", Now: now})
		if err != nil {
			return
		}
		for _, s := range all {
			bank.Match(s.Lines[:min(len(s.Lines), 20)],
				[]bank.Open{open("1", "c", "Name", "1.00", "2026-01-01", "2026-0001")})
			for _, l := range s.Lines {
				if l.Amount.IsZero() || len(l.Day) != 10 || l.Key == "" {
					t.Errorf("line %+v", l)
				}
			}
		}
	})
}

// What a line is for is read under each heading that banks give it; common practice, no published source.
func TestWhatALineIsForIsReadUnderItsHeading(t *testing.T) {
	for _, heading := range []string{"Text", "Purpose", "Details", "Verwendungszweck", "Causale",
		"Remittance information"} {
		s := read(t, "Date,"+heading+",Amount\n2026-11-02,Invoice 2026-0001,8200.00\n", "")
		if len(s.Lines) != 1 || s.Lines[0].Text != "Invoice 2026-0001" {
			t.Errorf("%s: %+v", heading, s)
		}
	}
}
