package papers_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/document"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/trade"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/money"
)

var now = time.Date(2026, 11, 2, 10, 0, 0, 0, time.UTC)

// open makes a shop with a client's key, a seller and a buyer.
func open(t *testing.T) (*rooms.Shop, *store.Store) { return openWith(t, nil) }

func openWith(t *testing.T, book fs.FS) (*rooms.Shop, *store.Store) {
	t.Helper()
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(t.TempDir(), "shop.db"),
		store.WithClientKey(bytes.Repeat([]byte{7}, store.ClientKeyBytes)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	var n atomic.Int64
	s, err := rooms.Open(t.Context(), shop.On(st, &storetest.Memory{}, bookdir.Fixed(book)),
		shop.Options{Now: func() time.Time { return now }, NewID: func(p string) string {
			return fmt.Sprintf("%s_%03d",
				p, n.Add(1))
		}, Name: "Marrow Lane Watches"})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []shop.Client{{ID: "c_seller", Name: "S. Seller", Address: shop.Address{Street: "1 Quay",
		City: "Eastmere"}, Identity: &shop.Identity{Paper: "passport", Number: "X1",
		Seen: edtf.MustParse("2026-10-01"), By: "shop"}}, {ID: "c_buyer", Name: "B. Buyer", Country: "NL"},
		{ID: "c_dealer", Name: "D. Dealer", Kind: "dealer"}} {
		if _, err := s.People.Add(t.Context(), c); err != nil {
			t.Fatal(err)
		}
	}
	return s, st
}

func must[T any](v T, err error) func(t *testing.T) T {
	return func(t *testing.T) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func eur(amount string) money.Money { return money.MustParse(amount, "EUR") }

// bought is a watch bought for 5000 under a scheme.
func bought(t *testing.T, s *rooms.Shop, scheme string) shop.WatchID {
	t.Helper()
	w := must(s.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester"))(t)
	b := trade.Buying{Terms: trade.Terms{Day: "2026-10-01", Client: "c_seller", Amount: eur("5000")}, Scheme: scheme}
	must(s.Trade.Buy(t.Context(), w.ID, b, "tester"))(t)
	return w.ID
}

func sell(t *testing.T, s *rooms.Shop, id shop.WatchID, amount string) {
	t.Helper()
	rate := decimal.MustParse("0.20")
	must(s.Trade.Move(t.Context(), id, trade.Moving{To: shop.Listed}, "tester"))(t)
	must(s.Trade.Sell(t.Context(), id, trade.Selling{Terms: trade.Terms{Day: "2026-10-20", Client: "c_buyer",
		Amount: eur(amount)}, TaxRate: &rate}, "tester"))(t)
}

func says(t *testing.T, s *rooms.Shop, id, ending string) string {
	t.Helper()
	_, b, same, err := papers.Print(t.Context(), s, id, ending)
	if err != nil || !same {
		t.Fatalf("%s: same %v, %v", ending, same, err)
	}
	return strings.ReplaceAll(string(b), "\u00a0", " ")
}

// The amounts are worked by hand: 20 % within 8,200.00 is 1,366.67 (8200 · 0.2 / 1.2 =
// 1366.666…), which leaves 6,833.33. Under the margin scheme no tax may be shown and the
// words of Directive 2006/112/EC, article 226 (14), stand instead (article 325).
func TestInvoices(t *testing.T) {
	s, _ := open(t)
	margin, ordinary := bought(t, s, "margin"), bought(t, s, "ordinary")
	sell(t, s, margin, "8200")
	sell(t, s, ordinary, "8200")
	one := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: margin, By: "tester"}))(t)
	two := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: ordinary, By: "tester"}))(t)
	if one.Number != "2026-0001" || two.Number != "2026-0002" || one.Total.String() != eur("8200").String() ||
		one.LogRoot == "" {
		t.Errorf("invoices %+v and %+v", one, two)
	}
	md := says(t, s, one.ID, "md")
	for _, want := range []string{"# Invoice 2026-0001", "Marrow Lane Watches", "B. Buyer", "8,200.00 EUR",
		"Margin scheme – second-hand goods", "cannot deduct it", "ask your accountant",
		"Date of supply | 20 October 2026", "**0.00 EUR**"} {
		if !strings.Contains(md, want) {
			t.Errorf("no %q in\n%s", want, md)
		}
	}
	if strings.Contains(md, "Value added tax") || strings.Contains(md, "1,366") || strings.Contains(md, "533") {
		t.Errorf("an invoice under the margin scheme shows tax:\n%s", md)
	}
	md = says(t, s, two.ID, "md")
	for _, want := range []string{"| Net amount | 6,833.33 EUR |", "| Value added tax, 20 % | 1,366.67 EUR |",
		"Total including tax"} {
		if !strings.Contains(md, want) {
			t.Errorf("no %q in\n%s", want, md)
		}
	}
	var v document.Invoice
	if err := json.Unmarshal([]byte(says(t, s, two.ID, "json")), &v); err != nil {
		t.Fatal(err)
	}
	if sum, err := v.Net.Add(v.Tax); err != nil || sum.String() != v.Price.String() {
		t.Errorf("net %v and tax %v are not the price %v", v.Net, v.Tax, v.Price)
	}
	var ld map[string]any
	if err := json.Unmarshal([]byte(says(t, s, two.ID, "jsonld")), &ld); err != nil || ld["@type"] != "Invoice" ||
		ld["identifier"] != "2026-0002" {
		t.Errorf("JSON-LD %v, %v", ld, err)
	}
	pdf := says(t, s, one.ID, "pdf")
	if !strings.HasPrefix(pdf, "%PDF-") {
		t.Error("no PDF")
	}
	if name := os.Getenv("MIDCASE_KEEP_PDF"); name != "" {
		os.WriteFile(name, []byte(pdf), 0o600)
	}
	var invalid *shop.Invalid
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: margin,
		By: "tester"}); !errors.As(err, &invalid) || !strings.Contains(err.Error(), "2026-0001") {
		t.Errorf("a second invoice of one sale: %v", err)
	}
	seen := 0
	for _, a := range must(s.People.Accesses(t.Context(), "c_buyer"))(t) {
		if strings.Contains(a.What, "invoice") {
			seen++
		}
	}
	if seen < 4 {
		t.Errorf("%d looks at invoices are logged; want those at each making and printing", seen)
	}
}

// No invoice gets a day before its predecessor's, whether the clock was set back or the day is typed, and
// none is of a day to come.
func TestAClockThatWentBack(t *testing.T) {
	s, _ := open(t)
	for i, test := range []struct {
		day  string
		says string
	}{{"2026-11-03", ""}, {"", "the clock says 2026-11-02"}, {"2026-11-03", ""}, {"2026-11-01", "never run backwards"},
		{"2031-01-01", "today or a day before"}} {
		id := bought(t, s, ledger.Margin)
		sell(t, s, id, "9000")
		_, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester",
			Day: test.day})
		if (err == nil) != (test.says == "") || err != nil && !strings.Contains(err.Error(), test.says) {
			t.Errorf("invoice %d, day %q: %v", i, test.day, err)
		}
	}
}

func TestCreditNote(t *testing.T) {
	s, _ := open(t)
	id := bought(t, s, "margin")
	sell(t, s, id, "8200")
	must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester"}))(t)
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperCredit, Watch: id,
		By: "tester"}); err == nil {
		t.Error("a credit note of a sale that stands")
	}
	must(s.Trade.Undo(t.Context(), id, "the buyer stepped back", "tester"))(t)
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: id,
		By: "tester"}); err == nil {
		t.Error("an invoice of a sale that was undone")
	}
	c := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperCredit, Watch: id, By: "tester"}))(t)
	md := says(t, s, c.ID, "md")
	if c.Number != "2026-0002" || c.Cancels != "2026-0001" || c.Total.String() != eur("-8200").String() ||
		!strings.Contains(md, "Cancels invoice 2026-0001") || !strings.Contains(md, "−8,200.00 EUR") {
		t.Errorf("%+v\n%s", c, md)
	}
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperCredit, Watch: id,
		By: "tester"}); err == nil {
		t.Error("a second credit note")
	}
}

func TestNotesAndStatements(t *testing.T) {
	s, _ := open(t)
	id := bought(t, s, "margin")
	p := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperPurchase, Watch: id, By: "tester"}))(t)
	for _, want := range []string{"# Purchase statement P-2026-0001", "I own the watch", "5,000.00 EUR",
		"passport X1, seen 1 October 2026", "1 Quay", "not proof of title", "without charging value added tax"} {
		if md := says(t, s, p.ID, "md"); !strings.Contains(md, want) {
			t.Errorf("no %q in\n%s", want, md)
		}
	}
	must(s.Trade.Move(t.Context(), id, trade.Moving{To: shop.Listed}, "tester"))(t)
	must(s.Trade.Move(t.Context(), id, trade.Moving{To: shop.OnMemo, Person: "c_dealer", Asking: eur("7400"),
		Due: edtf.MustParse("2026-12-01")}, "tester"))(t)
	m := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperMemo, Watch: id, By: "tester"}))(t)
	for _, want := range []string{"# Memo note M-2026-0001", "D. Dealer", "7,400.00 EUR", "1 December 2026",
		"borne by the taker", "belongs to the lender"} {
		if md := says(t, s, m.ID, "md"); !strings.Contains(md, want) {
			t.Errorf("no %q in\n%s", want, md)
		}
	}
	offered := must(s.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-2"}, "tester"))(t)
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperPurchase, Watch: offered.ID,
		By: "tester"}); err == nil {
		t.Error("a statement of nobody")
	}
	offered.Client = "c_seller"
	must(s.Trade.Change(t.Context(), offered))(t)
	var draft bytes.Buffer
	if err := papers.Draft(t.Context(), s, papers.Order{Kind: shop.PaperPurchase, Watch: offered.ID,
		Price: eur("4800")}, "md", &draft); err != nil ||
		!strings.Contains(draft.String(), "Purchase statement, draft") ||
		!strings.Contains(draft.String(), "4,800.00") {
		t.Errorf("before the purchase is booked: %v\n%s", err, draft.String())
	}
	must(s.Trade.ConsignIn(t.Context(), offered.ID, trade.Consigning{Terms: trade.Terms{Client: "c_seller",
		Amount: eur("9000")}, Commission: decimal.MustParse("0.15")}, "tester"))(t)
	c := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperConsignment, Watch: offered.ID,
		By: "tester"}))(t)
	if md := says(t, s, c.ID, "md"); !strings.Contains(md, "15 % of the price") ||
		!strings.Contains(md, "9,000.00 EUR") {
		t.Errorf("%s", md)
	}
}

// What a paper says of a client goes with the client; that it was made stays.
func TestErasedClient(t *testing.T) {
	s, _ := open(t)
	id := bought(t, s, "margin")
	sell(t, s, id, "8200")
	p := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester"}))(t)
	must(s.People.Erase(t.Context(), "c_buyer", "an order of court"))(t)
	if _, _, _, err := papers.Print(t.Context(), s, p.ID, "pdf"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("the invoice of an erased client prints: %v", err)
	}
	all := must(papers.List(t.Context(), s, shop.PaperFilter{}))(t)
	if len(all) != 1 || all[0].Number != "2026-0001" || strings.Contains(fmt.Sprintf("%+v", all[0]), "Buyer") {
		t.Errorf("kept %+v", all)
	}
}

func TestPapersOnAWatch(t *testing.T) {
	s, _ := openWith(t, demo.NewWorld(1).Book)
	offered := must(s.Intake.TakeIn(t.Context(), intake.Arrival{Maker: "Corvane", Reference: "KR-1"}, "tester"))(t)
	must(s.Intake.Record(t.Context(), offered.ID, "tester", &evidence.Finding{Slot: evidence.Case, Term: "polished",
		Severity: 2}))(t)
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperListing, Watch: offered.ID,
		By: "tester"}); err == nil || !strings.Contains(err.Error(), "not the shop's to sell") {
		t.Errorf("a listing of a watch that was not bought: %v", err)
	}
	w := must(s.Watch(t.Context(), bought(t, s, "margin")))(t)
	must(s.Intake.Record(t.Context(), w.ID, "tester", &evidence.Rate{Position: "CH", SecPerDay: 4,
		AmplitudeDeg: 270}))(t)
	must(s.Intake.Record(t.Context(), w.ID, "tester", &evidence.Finding{Slot: evidence.Case, Term: "polished",
		Severity: 2}))(t)
	for _, k := range shop.PaperKinds() {
		if k.Personal() || k == shop.PaperValuation {
			continue
		}
		p := must(papers.Make(t.Context(), s, papers.Order{Kind: k, Watch: w.ID, By: "tester"}))(t)
		if len(p.Files) != len(papers.Forms(k)) {
			t.Errorf("%s: files %+v", k, p.Files)
		}
		for _, f := range p.Files {
			b := says(t, s, p.ID, f.Ending)
			if f.Ending == "md" && k != shop.PaperListing && !strings.Contains(b, p.Number) {
				t.Errorf("%s: its number %s is not on it", k, p.Number)
			}
		}
	}
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: "poem", Watch: w.ID, By: "tester"}); err == nil {
		t.Error("a poem was made")
	}
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperReport, Watch: w.ID, By: "tester",
		Day: "soon"}); err == nil {
		t.Error("a paper of no day was made")
	}
}

// What goes with a watch that leaves the house: the work on record for the watchmaker, the contents for the parcel.
func TestPapersOfAWatchThatLeaves(t *testing.T) {
	s, _ := openWith(t, demo.NewWorld(1).Book)
	id := bought(t, s, "margin")
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperWork, Watch: id, By: "tester"}); err == nil ||
		!strings.Contains(err.Error(), "handed to a watchmaker") {
		t.Errorf("a repair order of a watch at home: %v", err)
	}
	for _, d := range []evidence.Data{&evidence.Need{What: "service", Cost: eur("450")},
		&evidence.Need{What: "new crystal", Slot: evidence.Crystal, Cost: eur("120")}} {
		must(s.Intake.Record(t.Context(), id, "tester", d))(t)
	}
	must(s.Trade.Move(t.Context(), id, trade.Moving{To: shop.AtWorkshop, Holder: "Bench Nine",
		Note: "stops after an hour"}, "tester"))(t)
	order := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperWork, Watch: id, By: "tester"}))(t)
	text := says(t, s, order.ID, "md")
	for _, want := range []string{"W-2026-0001", "Bench Nine", "To be done: stops after an hour", "And: service",
		"new crystal (crystal)", "570.00 EUR", "not polished", "radium"} {
		if !strings.Contains(strings.ReplaceAll(text, "\u00a0", " "), want) {
			t.Errorf("the repair order does not say %q:\n%s", want, text)
		}
	}
	must(s.Trade.Move(t.Context(), id, trade.Moving{To: shop.OnMemo, Person: "c_dealer", Asking: eur("8200")},
		"tester"))(t)
	list := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperPacking, Watch: id, By: "tester"}))(t)
	text = says(t, s, list.ID, "md")
	for _, want := range []string{"K-2026-0001", "D. Dealer", "sent on memo", "no cell or battery", "9102", "permits"} {
		if !strings.Contains(text, want) {
			t.Errorf("the packing list does not say %q:\n%s", want, text)
		}
	}
}

// A value that is for nothing, or that there is not, takes no number.
func TestAValuationOfNothingTakesNoNumber(t *testing.T) {
	s, _ := openWith(t, demo.NewWorld(1).Book)
	id := bought(t, s, "margin")
	for _, c := range []struct {
		a    *document.Assignment
		want string
	}{
		{nil, "purpose"},
		{&document.Assignment{Purpose: "estate", Basis: "retail", Effective: now}, "who may rely on it"},
		{&document.Assignment{Purpose: "estate", Users: "the executor", Basis: "retail", Effective: now}, "no sales"},
	} {
		_, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperValuation, Watch: id, By: "tester",
			Assigned: c.a})
		var refused *shop.Invalid
		if !errors.As(err, &refused) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v; want it refused with %q", c.a, err, c.want)
		}
	}
	if all := must(papers.List(t.Context(), s, shop.PaperFilter{}))(t); len(all) != 0 {
		t.Errorf("kept %+v", all)
	}
}

// A buyer's name that the papers cannot print is refused before a number is taken: the next invoice has it.
func TestANameThatCannotBePrintedTakesNoNumber(t *testing.T) {
	s, _ := open(t)
	id := bought(t, s, "margin")
	must(s.Trade.Move(t.Context(), id, trade.Moving{To: shop.Listed}, "tester"))(t)
	c := must(s.People.Add(t.Context(), shop.Client{ID: "c_far", Name: "山田 太郎"}))(t)
	rate := decimal.MustParse("0.20")
	must(s.Trade.Sell(t.Context(), id, trade.Selling{Terms: trade.Terms{Day: "2026-10-20", Client: c.ID,
		Amount: eur("8200")}, TaxRate: &rate}, "tester"))(t)
	order := papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester"}
	if _, err := papers.Make(t.Context(), s, order); err == nil || !strings.Contains(err.Error(), "山") {
		t.Fatalf("%v; want the letter that cannot be printed", err)
	}
	c.Name = "Yamada Taro"
	must(s.People.Change(t.Context(), c))(t)
	if p := must(papers.Make(t.Context(), s, order))(t); p.Number != "2026-0001" {
		t.Errorf("number %s; want the first", p.Number)
	}
}

// Nor does a paper on a watch, where the shop's own name cannot be printed.
func TestAShopsNameThatCannotBePrintedTakesNoNumber(t *testing.T) {
	s, _ := open(t)
	id := bought(t, s, "margin")
	l := must(s.Letterhead(t.Context()))(t)
	l.Name = "株式会社"
	if err := s.SetLetterhead(t.Context(), l); err != nil {
		t.Fatal(err)
	}
	_, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperReport, Watch: id, By: "tester"})
	if err == nil || !strings.Contains(err.Error(), "nothing was numbered") {
		t.Errorf("a report was made: %v", err)
	}
	if all := must(papers.List(t.Context(), s, shop.PaperFilter{}))(t); len(all) != 0 {
		t.Errorf("%d papers", len(all))
	}
}
