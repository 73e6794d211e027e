package tables_test

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf16"

	"midcase/tables"
)

// Files as other dealers keep them, written for this test; makers invented. For each, the
// fields of its columns and of one row, as a careful reader would give them.
var otherFiles = []struct {
	name, text string
	as         tables.Kind
	columns    string // fields in order, "-" where it is none
	line       int
	row        string   // fields of the row of that line
	rows       int      // in all
	out        []string // field, found and reason of what was kept out
	ask        []string // questions
}{
	{name: "groups of headings over the headings, a title, a sum", as: tables.Sales,
		text: "Verkaufsliste 2024;;;;;;;\n;;;;;;;\nVerkauf;;Uhr;;;Preis;;\n" +
			"Datum;Käufer;Marke;Referenz;Geh.-Nr.;EK €;VK €;Bemerkung\n" +
			"12.01.2024;Hr. Maibaum;Orbenau;T 218;310.442;1.850,--;2.900,--;Gehäuse nicht poliert\n" +
			"3.2.24;Fr. Löw;Orbenau;T 218;311.007;2.000,00;auf Anfrage;Krone ersetzt\n" +
			"Juni 2024;Laden;Vellmark;K 40;;900,00;1.400,00;Box + Papiere\n;;;;Summe;4.750,00;4.300,00;\n",
		columns: "date - maker reference serial - price note", line: 5, rows: 2,
		row: `{"currency":"EUR","date":"2024-01-12","maker":"Orbenau","note":"Gehäuse nicht poliert",` +
			`"price":{"amount":"2900","currency":"EUR"},"reference":"T 218","serial":"310442"}`,
		out: []string{"price auf Anfrage no price"}},
	{name: "days month first, thousands as k, a state in words", as: tables.Stock,
		text: "Brand,Model,Serial #,Date In,Paid,Ask,Status,Notes\n" +
			"Orbenau,T218,310442,1/14/2025,\"$1,2k\",NFS,Available,never polished\n" +
			"Orbenau,T 218 steel,311007,2/3/2025,\"$1,850.00\",\"$6,900 - $7,200\",Hold,\n" +
			"Vellmark,K-31,,3/5/2025,950,\"$1,750\",\"Sold 4/2/25 $1,700\",\n" +
			"Vellmark,K-40,9.0011E+04,11/02/2024,$ 900,\"$1,400 OBO\",Consigned (J. Marsh),\nTOTAL,,,,\"$3,900\",,,\n",
		columns: "maker reference serial bought cost asking state note", line: 4, rows: 4,
		row: `{"asking":{"amount":"1750","currency":"USD"},"bought":"2025-03-05","cost":{"amount":"950","currency":""},` +
			`"maker":"Vellmark","reference":"K-31","sold":"2025-04-02","sold_for":{"amount":"1700","currency":"USD"},"state":"sold"}`,
		out: []string{"asking NFS no price", "asking $6,900 - $7,200 a range of prices: enter one",
			"serial 9.0011E+04 the spreadsheet rounded this number: type it as text"},
		ask: []string{"1 amount without a currency", "1 price that is a range: which end counts?"}},
	{name: "clients with their address in parts", as: tables.Clients,
		text: "Prénom;Nom;Courriel;Tél.;Adresse;Code postal;Ville;Newsletter;Recherche\n" +
			"Amélie;Duvant;a.duvant@exemple.example;06 12 34 56 78;12 rue des Lilas;69002;Lyon;oui (mars 2024);T 218\n" +
			"Chloé;Marchais;pas d'e-mail;07 98 76 54 32;;;;peut-être;montres en or\n",
		columns: "first last email phone address postcode city consent interests", line: 2, rows: 2,
		row: `{"address":"12 rue des Lilas, 69002 Lyon","city":"Lyon","consent":"yes","email":"a.duvant@exemple.example",` +
			`"first":"Amélie","interests":"T 218","last":"Duvant","name":"Amélie Duvant","phone":"06 12 34 56 78","postcode":"69002"}`,
		out: []string{"email pas d'e-mail not an e-mail address"},
		ask: []string{"1 opt-in cell that is neither yes nor no"}},
	{name: "numbers written down line by line", as: tables.Serials,
		text:    "Orbenau serials as I collected them\n300000   1964\n310000   early 1966\n318.500 - Nov 1967\nabout 325,000   1969\n",
		columns: "serial date", line: 3, rows: 4, row: `{"date":"1966-01/1966-04","serial":"310000"}`,
		ask: []string{"the table has no headings: is each column what it was taken for?"}},
	{name: "box and papers both ways", as: tables.Stock,
		text: "Marke\tRef.\tEinkauf am\tEK CHF\tZubehör\nOrbenau\tT 218\t12.01.2025\t1'850.–\tBox & Papiere\n" +
			"Orbenau\tT 219\t12.01.2025\t1'850.–\tohne Box und Papiere\nOrbenau\tT 220\t12.01.2025\t1'850.–\tkeine Box, Papiere\n",
		columns: "maker reference bought cost completeness", line: 2, rows: 3,
		row: `{"bought":"2025-01-12","completeness":"full","cost":{"amount":"1850","currency":"CHF"},` +
			`"maker":"Orbenau","reference":"T 218"}`},
	{name: "headings that leave a day or an amount open", as: tables.Stock,
		text: "Hersteller;Modell;Werknummer;Jahr;gekauft am;Einkauf;Verkauf;Lager;Beschreibung\n" +
			"Vellmark;K-31;12345;60er;Dez. 24;1200 €;1.950 €;Werkstatt;Band nicht original\n" +
			"Orbenau;T 220;;1968-70;05.11.24;4 250,00 EUR;6.900,00 EUR;Laden;läuft gut\n",
		columns: "maker reference movement year bought cost asking place note", line: 2, rows: 2,
		row: `{"asking":{"amount":"1950","currency":"EUR"},"bought":"2024-12","cost":{"amount":"1200","currency":"EUR"},` +
			`"maker":"Vellmark","movement":"12345","note":"Band nicht original","place":"Werkstatt","reference":"K-31","year":"196X"}`,
		ask: []string{"1 finding in the notes that does not say how bad it is, from 1 (slight) to 4 (ruinous)"}},
	{name: "a title above, a sum and a remark below", as: tables.Stock,
		text: "Marsh & Daughter,,,,\nInventory as of,11/15/2025,,,\n,,,,\nItem,Maker,Ref.,Purchase Date,Retail (USD)\n" +
			"1,Orbenau,T218,01/14/2025,2950\n2,Vellmark,K-31,12/28/2024,1950\n,,,Total,4900\nNotes: all prices exclude tax,,,,\n",
		columns: "- maker reference bought asking", line: 5, rows: 2,
		row: `{"asking":{"amount":"2950","currency":"USD"},"bought":"2025-01-14","maker":"Orbenau","reference":"T218"}`},
	{name: "cells without headings", as: tables.Stock,
		text: "Orbenau T 218\t310442\t14 Jan 2025\t1,200\t2,950\nOrbenau T 218\t311007\t3 Feb 2025\t1,850\t3,100\n" +
			"Vellmark K-31\t88214\t28 Dec 2024\t1,200\t1,950\n",
		columns: "watch serial bought cost asking", line: 3, rows: 3,
		row: `{"asking":{"amount":"1950","currency":""},"bought":"2024-12-28","cost":{"amount":"1200","currency":""},` +
			`"maker":"Vellmark","reference":"K-31","serial":"88214"}`,
		ask: []string{"3 amounts without a currency", "the table has no headings: is each column what it was taken for?"}},
	{name: "refunds, days that are none, words behind the reference", as: tables.Sales,
		text: "Sold Date,Watch,Sale Price,Fees,Net,Where Sold,Buyer\n01/14/2025,Orbenau T218,\"$2,950.00\",$150,\"$2,800\",Local show,Smith\n" +
			"02/03/2025,Orbenau T 218 black dial,\"$3,100.00\",$0,\"$3,100\",website,Jones\n12/28/24,Vellmark K-31,($500.00),,,return,\n" +
			"13/28/24,Vellmark K-31,\"$1,800\",,,,\n",
		columns: "date watch price - - venue -", line: 3, rows: 2,
		row: `{"currency":"USD","date":"2025-02-03","dial":"black","maker":"Orbenau","price":{"amount":"3100","currency":"USD"},` +
			`"reference":"T218","source":"website","venue":"dealer"}`,
		out: []string{"price ($500.00) a negative amount is no price: enter it without the sign, or leave the cell empty", "date 13/28/24 not a day, month or year: write it as 2026-03-31"}},
	{name: "rows that are counted, beside serial numbers", as: tables.Stock,
		text: "No;Maker;Ref;Serial;Paid\n1;Orbenau;T218;310442;1200 EUR\n2;Orbenau;T218;311007;1300 EUR\n" +
			"3;Vellmark;K-31;88214;900 EUR\n4;Vellmark;K-40;88215;950 EUR\n",
		columns: "- maker reference serial cost", line: 4, rows: 4,
		row: `{"cost":{"amount":"900","currency":"EUR"},"maker":"Vellmark","reference":"K-31","serial":"88214"}`},
	{name: "a hammer price beside the whole one", as: tables.Sales,
		text: "Lot #,Sale Date,Description,Low Est,Hammer Price,BP,Total Price Realized\n" +
			"12,12 May 2019,\"Orbenau, Ref. T218, steel\",\"$4,000\",\"$5,500\",\"$1,375\",\"$6,875\"\n" +
			"13,12 May 2019,\"Orbenau, Ref. T218, steel\",\"$4,000\",\"$5,000\",\"$1,250\",\"$6,250\"\n",
		columns: "- date note estimate_low hammer - all-in", line: 2, rows: 2,
		row: `{"basis":"hammer","currency":"USD","date":"2019-05-12","estimate_low":"4000","maker":"Orbenau","metal":"steel",` +
			`"note":"Orbenau, Ref. T218, steel","price":{"amount":"5500","currency":"USD"},"reference":"T218","venue":"auction"}`,
		ask: []string{"2 sales with a hammer price and a price with premium: which one counts?"}},
	{name: "with and without tax, words behind the reference", as: tables.Sales,
		text: "Date;Article;Client;PV HT;TVA;PV TTC\n03/05/2023;Orbenau T218 acier cadran noir;M. Aubin;5 833,33;1 166,67;7 000,00 €\n" +
			"17/05/2023;Orbenau T219 or 14k;Mme Coste;1 500,00;300,00;1 800,00 €\n02/06/2023;Orbenau T220, boîte et papiers;;1,00;1,00;8 200,00 €\n",
		columns: "date watch - - - price", line: 3, rows: 3,
		row: `{"currency":"EUR","date":"2023-05-17","maker":"Orbenau","metal":"gold14","price":{"amount":"1800","currency":"EUR"},` +
			`"reference":"T219"}`},
	{name: "a designation, box and papers apart", as: tables.Stock,
		text: "Bezeichnung;Referenz;Gehäuse-Nr;EK netto;Box;Papiere;Bought;For\nOrbenau Taucher;T218;118410;4.201,68 €;nein;ja;;\n" +
			"Orbenau Chrono;T219;118411;4.369,75 €;ja;ja;;\n",
		columns: "watch reference serial cost box papers bought -", line: 2, rows: 2,
		row: `{"completeness":"papers","cost":{"amount":"4201.68","currency":"EUR"},"maker":"Orbenau",` +
			`"note":"cost in the list: “4.201,68 €, EK netto”","reference":"T218","serial":"118410"}`,
		ask: []string{"2 amounts without tax: do they stand as written?"}},
	{name: "bought for, refusals in more words", as: tables.Clients,
		text: "Nome,Cognome,Mail,Newsletter,Ultimo contatto\nAldo,Ferruzzi,aldo@ferruzzi.example,No thanks,12/01/2024\n" +
			"Bruna,Mancin,bruna@mancin.example,unsubscribed 2022,03/2023\nCarla,Noll,carla@noll.example,yes,\n",
		columns: "first last email consent -", line: 3, rows: 3,
		row: `{"consent":"no","email":"bruna@mancin.example","first":"Bruna","last":"Mancin","name":"Bruna Mancin"}`},
	{name: "years first, yen", as: tables.Stock,
		text: "Maker,Reference,Serial No.,Bought,Cost,Asking Price\nOrbenau,T218,310442,2025/01/14,¥185000,\"298,000円\"\n" +
			"Vellmark,K-40,,2025/3/9,95000 yen,\n",
		columns: "maker reference serial bought cost asking", line: 2, rows: 2,
		row: `{"asking":{"amount":"298000","currency":"JPY"},"bought":"2025-01-14","cost":{"amount":"185000","currency":"JPY"},` +
			`"maker":"Orbenau","reference":"T218","serial":"310442"}`},
	{name: "lots named by their text only", as: tables.Sales,
		text: "Lot,Sale date,Description,Estimate,Hammer,Price incl. BP\n" +
			"12,12 May 2025,\"Orbenau. A steel wristwatch, ref. T 218, circa 1966\",\"CHF 2,000-3,000\",\"CHF 2,400\",\n" +
			"13,12 May 2025,\"Vellmark. A gold wristwatch, ref. K-31\",\"CHF 3,000-5,000\",Unsold,\n",
		columns: "- date note estimate hammer all-in", line: 2, rows: 1,
		row: `{"basis":"hammer","currency":"CHF","date":"2025-05-12","estimate_high":"3000","estimate_low":"2000","maker":"Orbenau",` +
			`"metal":"steel","note":"Orbenau. A steel wristwatch, ref. T 218, circa 1966",` +
			`"price":{"amount":"2400","currency":"CHF"},"reference":"T 218","venue":"auction","year":"1966~"}`,
		out: []string{"price Unsold no price"}},
	{name: "quotes that nobody closed, commas in the last note", as: tables.Stock,
		text: "Maker,Reference,Serial,Cost,Notes\nOrbenau,T218,310442,1200 EUR,36\" bracelet, original\n" +
			"Vellmark,K-31,88214,1200 EUR,\"unclosed note\nVellmark,K-40,=\"088215\",900 EUR,fine\n",
		columns: "maker reference serial cost note -", line: 4, rows: 3,
		row: `{"cost":{"amount":"900","currency":"EUR"},"maker":"Vellmark","note":"fine","reference":"K-40","serial":"088215"}`},
}

func TestFilesOfOthers(t *testing.T) {
	for _, c := range otherFiles {
		t.Run(c.name, func(t *testing.T) {
			checkOther(t, c.text, c.as, c.columns, c.row, c.line, c.rows, c.out, c.ask)
		})
	}
}

func checkOther(t *testing.T, text string, as tables.Kind, columns, row string, line, rows int, out, ask []string) {
	t.Helper()
	r, err := tables.Read([]byte(text), as, tables.Options{Now: today})
	if err != nil {
		t.Fatal(err)
	}
	var fields, gone, asked []string
	for _, col := range r.Columns {
		if col.Field == "" {
			col.Field = "-"
		}
		fields = append(fields, col.Field)
	}
	for _, k := range r.KeptOut {
		gone = append(gone, k.Field+" "+k.Found+" "+k.Reason)
	}
	for _, q := range r.Questions {
		asked = append(asked, q.About)
	}
	if got := strings.Join(fields, " "); got != columns {
		t.Errorf("columns %s; want %s", got, columns)
	}
	if len(r.Rows) != rows {
		t.Errorf("%d rows; want %d", len(r.Rows), rows)
	}
	for _, x := range r.Rows {
		if got, _ := json.Marshal(x.Fields); x.Line == line && string(got) != row {
			t.Errorf("line %d:\n%s; want\n%s", line, got, row)
		}
	}
	if got, want := strings.Join(gone, "\n"), strings.Join(out, "\n"); got != want {
		t.Errorf("kept out:\n%s\nwant:\n%s", got, want)
	}
	if got, want := strings.Join(asked, "\n"), strings.Join(ask, "\n"); got != want {
		t.Errorf("asked:\n%s\nwant:\n%s", got, want)
	}
}

// TestEncodingChangesNothing reads the same stock list in the encodings that programs save.
func TestEncodingChangesNothing(t *testing.T) {
	const text = "Marke\tRef.\tEK\tBemerkung\nOrbenau\tT 218\t1850 €\tGehäuse\nVellmark\tK-31\t1200 €\tZifferblatt schön\n"
	want := wire(t, mustRead(t, []byte(text)))
	little := []byte{0xFF, 0xFE}
	for _, u := range utf16.Encode([]rune(text)) {
		little = append(little, byte(u), byte(u>>8))
	}
	var western []byte
	for _, c := range text {
		if c == '€' {
			c = 0x80 // Windows-1252
		}
		western = append(western, byte(c))
	}
	for name, data := range map[string][]byte{"UTF-16": little, "Windows-1252": western,
		"UTF-8 with its mark": append([]byte{0xEF, 0xBB, 0xBF}, text...)} {
		got, _ := json.Marshal(wire(t, mustRead(t, data)))
		if w, _ := json.Marshal(want); string(got) != string(w) {
			t.Errorf("%s: %s; want %s", name, got, w)
		}
	}
}

func mustRead(t *testing.T, data []byte) tables.Reading {
	t.Helper()
	r, err := tables.Read(data, tables.Stock, tables.Options{Now: today})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestAnswerNamesAColumn holds that a person's word on a column goes before its heading.
func TestAnswerNamesAColumn(t *testing.T) {
	text := []byte("Maker,Ref,Price\nOrbenau,T 218,1200 EUR\n")
	r, err := tables.Read(text, tables.Stock, tables.Options{Now: today, Answers: map[string]string{"column.3": "cost"}})
	if err != nil || r.Columns[2].Field != "cost" || r.Rows[0].Fields["cost"] == nil {
		t.Errorf("%+v, %v; want the price as what was paid", r.Columns, err)
	}
	_, err = tables.Read(text, tables.Stock, tables.Options{Answers: map[string]string{"column.3": "colour"}})
	if err == nil || !strings.Contains(err.Error(), "use one of asking, bought") {
		t.Errorf("%v; want the fields that there are", err)
	}
}
