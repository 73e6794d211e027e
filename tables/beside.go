package tables

import (
	"regexp"
	"strings"

	iso4217 "golang.org/x/text/currency"
)

// codeIn is a code of ISO 4217 in capitals that the list of usual currencies does not have.
func codeIn(text string) string {
	for _, w := range capitals.FindAllString(text, -1) {
		if _, err := iso4217.ParseISO(w); err == nil && w != "ALL" && w != "TOP" {
			return w
		}
	}
	return ""
}

var capitals = regexp.MustCompile(`\b[A-Z]{3}\b`)

// unclearMoney is a word for money that is that of more than one country, or of the past.
func (l *lexicon) unclearMoney(text string) string {
	return l.unclear.phraseIn(besideOf(text))
}

// taxShare is a share of tax beside an amount: "incl. 20 % VAT", "zzgl. 19 % MwSt".
var taxShare = regexp.MustCompile(`(?i)(\+|[a-zà-ü]+\.?)?\s*\d{1,2}(?:[.,]\d)?\s?%\s*(?:vat|mwst|ust|tva|iva|tax)\b\.?` +
	`|(?i)(\+|[a-zà-ü]+\.?)\s*(?:vat|mwst|ust|tva|iva|tax)\.?\s*\d{1,2}(?:[.,]\d)?\s?%`)

// besideOf are the words beside a figure, made plain, with spaces around them.
func besideOf(text string) string {
	return " " + strings.Join(strings.Fields(plain(strings.NewReplacer("+", " + ", "/", " ", "[", " ", "]", " ").
		Replace(text))), " ") + " "
}

// open is the word beside an amount that makes it another than the price of the watch: "from", "for both", "deposit".
func (l *lexicon) open(text string) string {
	return l.notWhole.phraseIn(besideOf(text))
}

// beside notes what the words beside a figure say: that it is without tax, that it may be talked about and so is only
// asked, or something that no field holds.
func (l *lexicon) beside(text string, a *amount) {
	p := besideOf(text)
	if _, net := l.netOfTax.of(p); net {
		a.Net = true
	}
	if _, asked := l.negotiable.of(p); asked && a.Basis == "" {
		a.Basis = "asking"
	}
	var rest []string
	for _, word := range strings.Fields(p) {
		if word == "?" {
			rest = append(rest, word) // somebody was not sure
		}
		if moneyWord(word) || len(word) == 3 && codeIn(strings.ToUpper(word)) != "" {
			continue
		}
		for _, w := range strings.FieldsFunc(word, func(c rune) bool { return strings.ContainsRune("€£$¥+!?–;\"'", c) }) {
			if !l.harmless.has(w) && !moneyWord(w) {
				rest = append(rest, w)
			}
		}
	}
	a.Beside = strings.Join(rest, " ")
}

// withoutMagnitude is the text behind a figure without what makes thousands of it.
func (l *lexicon) withoutMagnitude(after string) string {
	for _, form := range []*regexp.Regexp{thousands, tenThous, millions} {
		if at := form.FindStringIndex(after); at != nil {
			return after[at[1]:]
		}
	}
	return after
}
