package tables

import (
	"cmp"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"midcase/money"
)

// amount is what a cell says of money.
type amount struct {
	Amount   string // plain decimal
	Currency string // ISO 4217; empty where the cell names none
	Basis    string // hammer, all-in, asking, sold; empty where the cell says none
	Net      bool   // without tax: "1200 + VAT"
	Beside   string // words beside the figure that no field holds
}

var (
	figures   = regexp.MustCompile(`\d[\d.,'’\s\x{00a0}\x{202f}\x{2009}]*`)
	thousands = regexp.MustCompile(`^\s*(k|tsd|t€|t|grand|mille|mila|thousand|tausend|[kt]\s?(?:eur|chf|usd|gbp|euros?))\b` +
		`|^\s*[kt]\s?[€$£]`)
	tenThous = regexp.MustCompile(`^\s*[万萬]`)
	millions = regexp.MustCompile(`^\s*(m|mn|mio|mill?ion(?:s|en)?|milioni|milione)\b`)
	kAsPoint = regexp.MustCompile(`\b(\d{1,3})k(\d)\b`) // "2k6"
	dashed   = regexp.MustCompile(`[.,][–—-]+\s*`)
)

// amountOf reads an amount of money in any of the usual styles. It refuses a range and a
// cell with more figures than one amount has.
func (l *lexicon) amountOf(cell string) (amount, bool) {
	text := strings.TrimSpace(cell)
	if strings.Contains(text, "%") {
		text = taxShare.ReplaceAllString(text, " $1$2 vat ")
	}
	if text == "" || l.saysNoPrice(text) {
		return amount{}, false
	}
	a := amount{}
	a.Basis, _ = l.basis.of(text)
	lower := strings.ToLower(text)
	lower = dashed.ReplaceAllString(lower, " ")
	lower = kAsPoint.ReplaceAllString(lower, "$1.${2}k")
	at := figures.FindAllStringIndex(lower, -1)
	if len(at) == 0 {
		said, rest, ok := saidAmount(lower)
		a.Amount, a.Currency = said, l.currencyIn(lower)
		l.beside(rest, &a)
		return a, ok && a.Beside == ""
	}
	if len(at) != 1 {
		return amount{}, false
	}
	number := strings.TrimSpace(lower[at[0][0]:at[0][1]])
	before, after := lower[:at[0][0]], lower[at[0][1]:]
	if negative(lower, at[0]) || strings.Contains(before+after, "%") {
		return amount{}, false // neither a negative amount nor a share is a price
	}
	if strings.ContainsAny(before, "<>≤≥") {
		return amount{}, false // less or more than that
	}
	a.Currency = cmp.Or(l.currencyIn(before+" "+after), codeIn(text))
	if strings.HasPrefix(lower, "=") {
		return amount{}, false // a formula
	}
	plainNumber, ok := decimalOf(number)
	if !ok {
		return amount{}, false
	}
	switch {
	case thousands.MatchString(after):
		plainNumber = timesTen(plainNumber, 3)
	case tenThous.MatchString(after):
		plainNumber = timesTen(plainNumber, 4)
	case millions.MatchString(after):
		plainNumber = timesTen(plainNumber, 6)
	}
	a.Amount = plainNumber
	if !strings.ContainsFunc(before+after, func(c rune) bool { return unicode.IsLetter(c) || c == '?' || c == '+' }) {
		return a, true // nothing but signs stands beside the figure
	}
	l.beside(before+" "+l.withoutMagnitude(after), &a)
	return a, l.open(before+" "+after) == "" && l.unclearMoney(before+" "+after) == ""
}

// saysNoPrice reports whether a cell says in words that there is no price.
func (l *lexicon) saysNoPrice(text string) bool {
	if !strings.ContainsFunc(text, unicode.IsLetter) {
		return strings.Trim(text, "–—-. ?") == ""
	}
	if l.noPrice.has(text) {
		return true
	}
	p := plain(text)
	for q := range l.noPrice {
		if len(q) > 3 && strings.HasPrefix(p, q) {
			return true
		}
	}
	return strings.Trim(text, "–—- ?") == ""
}

// noAmount says why a cell is no amount of money.
func (l *lexicon) noAmount(cell string) string {
	lower := strings.ToLower(cell)
	at := figures.FindAllStringIndex(lower, -1)
	switch {
	case l.saysNoPrice(cell):
		return "no price"
	case strings.HasPrefix(cell, "="):
		return "a formula whose result the file does not hold: save the file in a spreadsheet, or type the amount"
	case len(at) == 0:
		return "not an amount of money: write figures, such as 1200 or 1'200.50 EUR"
	case l.isRange(lower):
		return "a range of prices: enter one"
	case strings.Contains(lower, "%"):
		return "a percentage, not an amount: type the amount"
	case rounded.MatchString(strings.TrimSpace(cell)):
		return "the spreadsheet rounded this number: type it whole"
	case len(at) == 1 && strings.Trim(lower[at[0][0]:at[0][1]], "0., ") == "":
		return "0 is no price: leave the cell empty where there is none"
	case negative(lower, at[0]):
		return "a negative amount is no price: enter it without the sign, or leave the cell empty"
	case len(at) > 1:
		return "more than one figure: enter one amount"
	case l.unclearMoney(lower[:at[0][0]]+" "+lower[at[0][1]:]) != "":
		return "“" + l.unclearMoney(lower[:at[0][0]]+" "+lower[at[0][1]:]) + "” is money of more than one country or of " +
			"the past: type the code of a currency of today, such as 1200 SEK"
	case l.open(lower[:at[0][0]]+" "+lower[at[0][1]:]) != "":
		return "“" + l.open(lower[:at[0][0]]+" "+lower[at[0][1]:]) + "” says that it is not the price of this watch: " +
			"type the amount that counts"
	}
	return "not an amount of money: write figures, such as 1200 or 1'200.50 EUR"
}

// isRange reports whether a cell holds a low and a high price.
func (l *lexicon) isRange(cell string) bool {
	_, _, ok := l.rangeOf(cell)
	return ok
}

// rangeOf reads "3,500-4,000 EUR", "1.900/2.200" or "2k to 2.5k": two amounts of one currency, the lower first.
func (l *lexicon) rangeOf(cell string) (low, high amount, ok bool) {
	lower := strings.ToLower(strings.TrimSpace(cell))
	at := figures.FindAllStringIndex(lower, -1)
	if len(at) != 2 || l.saysNoPrice(lower) || strings.HasPrefix(lower, "=") ||
		!between.MatchString(magnitude.ReplaceAllString(lower[at[0][1]:at[1][0]], " ")+" ") {
		return low, high, false
	}
	cut := at[1][0]
	first, second := strings.TrimRight(lower[:cut], " \u00a0–—-/"), lower[cut:]
	for _, word := range []string{"to", "bis", "à", "a"} {
		first = strings.TrimSuffix(first, " "+word)
	}
	var lowOK, highOK bool
	low, lowOK = l.amountOf(strings.TrimRight(first, " \u00a0–—-/"))
	high, highOK = l.amountOf(second)
	low = shortened(low, high)
	if !lowOK || !highOK || !low.valid() || !high.valid() {
		return low, high, false
	}
	named := cmp.Or(high.Currency, low.Currency)
	if low.Currency != "" && low.Currency != named {
		return low, high, false
	}
	low.Currency, high.Currency = named, named
	const apart = 8 // times; figures further apart are no range
	if a, b := low.number(), high.number(); a >= b || b > apart*a || monthYear.MatchString(lower) {
		return low, high, false
	}
	return low, high, true
}

// shortened is the low end of "4-5k", "5-600" or "12-1300": it is of the size of the high one.
func shortened(low, high amount) amount {
	const short = 100 // from here on a price is written whole
	v, w := low.number(), high.number()
	if v >= short || w < short {
		return low
	}
	for times := 3; times >= 2; times-- {
		if size := math.Pow10(times); v*size < w && w < 10*v*size {
			low.Amount = timesTen(low.Amount, times)
			break
		}
	}
	return low
}

// number is the amount for telling which of two is more.
func (a amount) number() float64 {
	v, _ := strconv.ParseFloat(a.Amount, 64)
	return v
}

// magnitude is what shortens the first amount of a range: "2k to 2.5k".
var magnitude = regexp.MustCompile(`^\s*(?:k|tsd\.?)\s*`)

var between = regexp.MustCompile(`^\s*(?:[–—/-]|to|bis|à|a)?\s*(?:[$€£¥]|[a-z]{3})?\s*$`)

// moneySigns are signs of one currency each; "$" is that of many.
var moneySigns = map[string]string{"€": "EUR", "£": "GBP", "¥": "JPY", "円": "JPY", "₩": "KRW", "₹": "INR"}

// currencyIn finds a currency named around a figure.
func (l *lexicon) currencyIn(text string) string {
	for sign, code := range moneySigns {
		if strings.Contains(text, sign) {
			return code
		}
	}
	for _, word := range strings.FieldsFunc(text,
		func(c rune) bool { return strings.ContainsRune(" \u00a0\u202f.,;:()/", c) }) {
		code, ok := l.Currencies[word]
		if !ok {
			code, ok = l.Currencies[strings.Trim(word, "$")] // "$1,200 CAD"
		}
		if ok && word != "$" {
			return code
		}
	}
	if strings.Contains(text, "$") {
		return "USD"
	}
	return ""
}

var (
	gaps   = strings.NewReplacer(" ", "", "\u00a0", "", "\u202f", "", "\u2009", "", "'", "", "’", "")
	points = strings.NewReplacer(".", "", ",", "")
)

// decimalOf reads figures with marks: the last mark with one or two figures behind it is
// the decimal mark, others separate thousands.
func decimalOf(s string) (string, bool) {
	s = gaps.Replace(s)
	s = strings.TrimRight(s, ".,")
	cut := strings.LastIndexAny(s, ".,")
	if cut < 0 {
		return s, s != ""
	}
	whole, after := s[:cut], s[cut+1:]
	rest := points.Replace(whole)
	if len(after) == 3 && len(whole) > 0 && whole != "0" {
		groups := strings.FieldsFunc(whole, func(c rune) bool { return c == '.' || c == ',' })
		if len(groups) == 1 && len(groups[0]) > 3 && strings.Trim(after, "0") == "" {
			return whole, true // 1850.000, as databases write amounts
		}
		for i, group := range groups {
			if len(group) != 3 && i > 0 || len(group) > 3 {
				return "", false
			}
		}
		return rest + after, true
	}
	if len(after) > 2 || strings.Contains(whole, s[cut:cut+1]) {
		return "", false
	}
	if strings.Trim(after, "0") == "" {
		return rest, true
	}
	return rest + "." + after, true
}

// timesTen multiplies a decimal by ten, so many times.
func timesTen(s string, times int) string {
	whole, after, _ := strings.Cut(s, ".")
	after += strings.Repeat("0", max(0, times-len(after)))
	if rest := strings.TrimRight(after[times:], "0"); rest != "" {
		return whole + after[:times] + "." + rest
	}
	return whole + after[:times]
}

// negative reports whether the signs around a figure make it less than nothing: -500, (500), 500-.
func negative(text string, at []int) bool {
	before, figure, after := text[:at[0]], text[at[0]:at[1]], text[at[1]:]
	behind := strings.HasPrefix(after, "-") && strings.TrimSpace(figure) == figure && strings.Trim(after, "- €$£") == ""
	return strings.ContainsAny(before, "-−(") || behind
}

// valid reports whether the amount is one in the currency.
func (a amount) valid() bool {
	cur := a.Currency
	if cur == "" {
		cur = "EUR"
	}
	m, err := money.Parse(a.Amount, cur)
	return err == nil && m.Sign() > 0
}
