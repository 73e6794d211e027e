package papers_test

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/trade"
)

// englishWords are words of the papers that no German, French or Italian sentence has.
var englishWords = []string{" the ", " and ", " watch", " with ", " by ", " of ", " sold", " paid", "seller", "buyer",
	"received", "Allowance", "Deposit", "service", " case", " dial", "papers", "serial", "number", "Issue",
	"bank transfer", " seen ", "borne", "October", "opinion"}

// dealt are watches that were bought and sold, lent, repaired and consigned, by the paper that is of it.
func dealt(t *testing.T, s *rooms.Shop) map[shop.PaperKind]shop.WatchID {
	t.Helper()
	main := bought(t, s, ledger.Margin)
	must(s.Trade.Move(t.Context(), main, trade.Moving{To: shop.Listed}, "tester"))(t)
	rate := decimal.MustParse("0.20")
	must(s.Trade.Sell(t.Context(), main, trade.Selling{Terms: trade.Terms{Day: "2026-10-20", Client: "c_buyer",
		Amount: eur("8200"), Pay: ledger.Bank}, TaxRate: &rate}, "tester"))(t)
	out := map[shop.PaperKind]shop.WatchID{shop.PaperInvoice: main, shop.PaperPacking: main, shop.PaperPurchase: main}
	memo := bought(t, s, ledger.Margin)
	must(s.Trade.Move(t.Context(), memo, trade.Moving{To: shop.Listed}, "tester"))(t)
	must(s.Trade.Move(t.Context(), memo, trade.Moving{To: shop.OnMemo, Person: "c_dealer", Asking: eur("7400"),
		Due: edtf.MustParse("2026-12-01")}, "tester"))(t)
	out[shop.PaperMemo] = memo
	repair := bought(t, s, ledger.Margin)
	must(s.Trade.Move(t.Context(), repair, trade.Moving{To: shop.AtWorkshop, Person: "c_dealer",
		Due: edtf.MustParse("2026-12")}, "tester"))(t)
	out[shop.PaperWork] = repair
	out[shop.PaperConsignment] = consigned(t, s, trade.Consigning{Terms: trade.Terms{Amount: eur("9000")},
		Commission: decimal.MustParse("0.125")})
	return out
}

// Every paper about a dealing can be had in each language, prints again to the byte, and has no English left in it.
func TestPapersAboutDealingsInEachLanguage(t *testing.T) {
	s, _ := open(t)
	wants := map[string][]string{
		"de": {"Rechnung 2026-", "Gebrauchtgegenstände/Sonderregelung", "8.200,00 EUR", "20. Oktober 2026",
			"Per Überweisung erhalten", "Auswahlschein M-2026-", "1. Dezember 2026", "trägt der Empfänger",
			"Ankaufserklärung P-2026-", "vorgelegt am 1. Oktober 2026", "Kommissionsvertrag C-2026-",
			"12,5 % vom Preis", "Werkstattauftrag W-2026-", "Dezember 2026", "Packliste K-2026-", "nur die Uhr"},
		"fr": {"Facture 2026-", "Régime particulier – Biens d’occasion", "8 200,00 EUR", "20 octobre 2026",
			"Reçu par virement", "1er décembre 2026", "Déclaration de cession", "12,5 % du prix", "Liste de colisage"},
		"it": {"Fattura 2026-", "Regime del margine – beni usati", "8.200,00 EUR", "20 ottobre 2026",
			"Ricevuto con bonifico", "Dichiarazione di vendita", "12,5% del prezzo", "Distinta di imballaggio"},
	}
	for _, language := range []string{"de", "fr", "it"} {
		var all strings.Builder
		for kind, watch := range dealt(t, s) {
			p := must(papers.Make(t.Context(), s, papers.Order{Kind: kind, Watch: watch, By: "tester",
				Language: language}))(t)
			text := strings.ReplaceAll(says(t, s, p.ID, "md"), "\u202f", " ")
			says(t, s, p.ID, "pdf")
			for _, word := range englishWords {
				if strings.Contains(text, word) {
					t.Errorf("%s, %s: %q is English in\n%s", language, kind, word, text)
				}
			}
			all.WriteString(text)
		}
		lines(t, all.String(), wants[language]...)
	}
}

// A paper is in the language asked for, else the client's, else the shop's, else English.
func TestLanguageOfAPaper(t *testing.T) {
	s, _ := open(t)
	invoice := func(asked, client, house string) string {
		t.Helper()
		c := must(s.People.Client(t.Context(), "c_buyer"))(t)
		c.Language = client
		must(s.People.Change(t.Context(), c))(t)
		set := must(s.Settings(t.Context()))(t)
		set.Locale = house
		if err := s.SetSettings(t.Context(), set); err != nil {
			t.Fatal(err)
		}
		id := bought(t, s, ledger.Margin)
		sell(t, s, id, "8200")
		p := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester",
			Language: asked}))(t)
		return says(t, s, p.ID, "md")
	}
	for _, c := range []struct{ asked, client, house, says string }{{"it", "fr", "de-DE", "# Fattura"},
		{"", "fr-CH", "de-DE", "# Facture"}, {"", "", "de-CH", "# Rechnung"}, {"", "ja", "de-DE", "# Rechnung"},
		{"", "en-GB", "de-DE", "# Invoice"}, {"", "", "", "# Invoice"}} {
		if text := invoice(c.asked, c.client, c.house); !strings.Contains(text, c.says) {
			t.Errorf("asked %q, client %q, shop %q: no %q in\n%s", c.asked, c.client, c.house, c.says, text)
		}
	}
}

// Words of the shop's own for the margin scheme stay as typed, and in another language those of the directive stand
// beside them.
func TestMarginWordsOfTheShopsOwn(t *testing.T) {
	s, _ := open(t)
	letter := must(s.Letterhead(t.Context()))(t)
	for _, c := range []struct{ typed, goods, language, says, not string }{
		{"Second-hand goods under the scheme of our country", "", "fr",
			"Second-hand goods under the scheme of our country (Régime particulier – Biens d’occasion)", ""},
		{"Second-hand goods under the scheme of our country", "", "en",
			"Second-hand goods under the scheme of our country\n", "Margin scheme –"},
		{"Margin scheme — collector's items and antiques", "collectors", "it",
			"\nRegime del margine – oggetti da collezione e di antiquariato\n", "Margin scheme"},
		{"Gebrauchtgegenstände/Sonderregelung", "", "de", "\nGebrauchtgegenstände/Sonderregelung\n", "("},
		{"Gebrauchtgegenstände/Sonderregelung", "", "en", "\nMargin scheme – second-hand goods\n", "Sonderregelung"},
	} {
		letter.MarginWords, letter.MarginGoods = c.typed, c.goods
		if err := s.SetLetterhead(t.Context(), letter); err != nil {
			t.Fatal(err)
		}
		id := bought(t, s, ledger.Margin)
		sell(t, s, id, "8200")
		p := must(papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperInvoice, Watch: id, By: "tester",
			Language: c.language}))(t)
		text := says(t, s, p.ID, "md")
		lines(t, text, c.says)
		if c.not != "" && strings.Contains(text, c.not) {
			t.Errorf("%s: %q in\n%s", c.language, c.not, text)
		}
	}
}

// A paper on a watch itself is in the language asked for, else the shop's, and prints again to the byte; a language
// that there is not is refused before anything is numbered.
func TestLanguageOfAPaperOnAWatch(t *testing.T) {
	s, _ := open(t)
	id := bought(t, s, ledger.Margin)
	set := must(s.Settings(t.Context()))(t)
	for _, c := range []struct {
		kind                shop.PaperKind
		asked, house, wants string
	}{
		{shop.PaperReport, "de", "", "Bericht über Zustand und Originalität"},
		{shop.PaperReport, "", "fr-CH", "Rapport sur l'état et l'originalité"},
		{shop.PaperReport, "", "ja-JP", "Report on condition and originality"},
		{shop.PaperIdentification, "it", "de-DE", "Scheda di identificazione"},
		{shop.PaperTrace, "fr", "de-DE", "Relevé de marche"},
	} {
		set.Locale = c.house
		if err := s.SetSettings(t.Context(), set); err != nil {
			t.Fatal(err)
		}
		p := must(papers.Make(t.Context(), s, papers.Order{Kind: c.kind, Watch: id, By: "tester", Annex: true,
			Language: c.asked}))(t)
		set.Locale = "de-DE" // a reprint is in the language of then
		if err := s.SetSettings(t.Context(), set); err != nil {
			t.Fatal(err)
		}
		lines(t, says(t, s, p.ID, "md"), c.wants)
		says(t, s, p.ID, "pdf")
	}
	if _, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperReport, Watch: id, By: "tester",
		Language: "es"}); err == nil || !strings.Contains(err.Error(), "es") {
		t.Errorf("a language that there is not: %v", err)
	}
}
