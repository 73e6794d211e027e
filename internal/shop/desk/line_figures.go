package desk

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"midcase/money"
	"midcase/tables"
)

// Figures of a number that stands by itself in a line: a year has four, a serial number five or more. The price
// is what has a currency, a k or a word of asking beside it; else the last number that is neither.
const (
	figuresOfYear   = 4
	figuresOfSerial = 5
	leastPrice      = 100
)

// word is one word of a line.
type word struct {
	text string
	key  string // in lower case, without the punctuation around it
	used bool
}

func wordsOf(line string) []word {
	var out []word
	for _, w := range strings.Fields(line) {
		key := strings.Trim(strings.ToLower(w), ".,;:!?()“”\"")
		out = append(out, word{text: w, key: key})
	}
	return out
}

// currencyWords are the words and signs of currencies as people say them.
var currencyWords = map[string]money.Currency{"eur": "EUR", "euro": "EUR", "euros": "EUR", "€": "EUR", "chf": "CHF",
	"francs": "CHF", "franken": "CHF", "sfr": "CHF", "fr": "CHF", "usd": "USD", "dollar": "USD", "dollars": "USD",
	"$": "USD", "gbp": "GBP", "pound": "GBP", "pounds": "GBP", "£": "GBP", "quid": "GBP", "jpy": "JPY", "yen": "JPY"}

// askingWords stand before a price.
var askingWords = []string{"asks", "asking", "ask", "asked", "wants", "want", "price", "priced", "at", "for", "offered"}

// notAPrice are words after or before which a number is no price, year or serial number.
var (
	unitsAfter = []string{"mm", "cm", "g", "gr", "gram", "grams", "s", "sec", "seconds", "bph", "vph", "jewels", "jewel",
		"%", "percent", "degrees", "deg", "°", "hours", "h", "min", "minutes", "per", "beats"}
	saidBefore = []string{"amplitude", "rate", "rates", "beat", "between", "diameter", "width", "weight", "weighs", "lug",
		"cal", "calibre", "caliber", "movement", "grade", "thickness", "plus", "minus", "lot", "size"}
	serialBefore = []string{"serial", "sn", "s/n", "ser", "number", "no", "nr", "num", "#"}
	carats       = map[string]string{"9k": "gold9", "9ct": "gold9", "14k": "gold14", "14ct": "gold14", "18k": "gold18",
		"18ct": "gold18"}
)

// figure is a number of a line.
type figure struct {
	at       int // its word
	text     string
	value    float64
	plain    bool           // figures alone
	currency money.Currency // where one stands beside it
	asked    bool           // a currency, a k or a word of asking says that it is a price
	serial   bool           // a word says that it is a serial number
}

// number reads a word that may be a number with what stands around it.
func number(words []word, at int) (figure, bool) {
	f := figure{at: at, text: words[at].key}
	text := f.text
	for sign, c := range currencyWords {
		if rest, ok := strings.CutPrefix(text, sign); ok && rest != "" && rest[0] >= '0' && rest[0] <= '9' {
			text, f.currency = rest, c
		} else if rest, ok := strings.CutSuffix(text, sign); ok && rest != "" && len(figures(rest)) > 0 &&
			lettersOnly(strings.TrimSuffix(letters(rest), "k")) == "" {
			text, f.currency = rest, c
		}
	}
	v, ok := searchAmount(text)
	if !ok {
		return f, false
	}
	f.value, f.plain = v, figures(f.text) == f.text
	next, before := near(words, at+1), near(words, at-1)
	if slices.Contains(unitsAfter, next) || slices.Contains(saidBefore, before) {
		return f, false
	}
	if c, ok := currencyWords[next]; ok && f.currency == "" {
		f.currency = c
	}
	if c, ok := currencyWords[before]; ok && f.currency == "" {
		f.currency = c
	}
	f.serial = slices.Contains(serialBefore, before)
	f.asked = !f.serial && (f.currency != "" || strings.HasSuffix(text, "k") || slices.Contains(askingWords, before) ||
		strings.ContainsAny(text, ".,'’"))
	return f, true
}

// near is the word at a place; empty where there is none or it is used already.
func near(words []word, at int) string {
	if at < 0 || at >= len(words) || words[at].used {
		return ""
	}
	return words[at].key
}

// isYear reports whether a number may be the year of making.
func (f figure) isYear(now int) bool {
	return f.plain && len(f.text) == figuresOfYear && f.value >= firstYear && int(f.value) <= now
}

func (f figure) isRound() bool { return f.plain && strings.HasSuffix(f.text, "00") }

// isSerial reports whether a number may be a serial number.
func (f figure) isSerial() bool { return f.serial || f.plain && len(f.text) >= figuresOfSerial }

// figures takes serial number, year and price out of the words of a line that are not used yet.
func (q *Inquiry) figures(words []word, now int, currency money.Currency) {
	var all []figure
	for i := range words {
		if words[i].used || isCarat(words, i) {
			continue
		}
		if f, ok := number(words, i); ok {
			all = append(all, f)
		}
	}
	price := priceOf(all, now)
	for i, f := range all {
		switch {
		case i == price:
			q.Asked, _ = money.Parse(strconv.FormatFloat(f.value, 'f', -1, 64), string(cmp.Or(f.currency, currency)))
			use(words, f.at, askingWords, f.currency)
		case f.isSerial() && q.Serial == "":
			q.Serial = f.text
			use(words, f.at, serialBefore, "")
		case f.isYear(now) && q.Year == 0:
			q.Year = int(f.value)
			words[f.at].used = true
		}
	}
}

// isCarat reports whether a word such as “18k” is the gold and not a price: beside a word of gold, or where the line
// names no other metal.
func isCarat(words []word, at int) bool {
	if carats[words[at].key] == "" || isAsked(words, at) {
		return false
	}
	golden := []string{"gold", "yellow", "white", "pink", "rose", "solid"}
	if slices.Contains(golden, near(words, at-1)) || slices.Contains(golden, near(words, at+1)) {
		return true
	}
	for i, w := range words {
		if _, metal := tables.MetalNamed(w.key); i != at && !w.used && (metal || carats[w.key] != "") {
			return false
		}
	}
	return true
}

// isAsked reports whether a word of asking or a currency stands beside a number such as “18k”.
func isAsked(words []word, at int) bool {
	before, next := near(words, at-1), near(words, at+1)
	return slices.Contains(askingWords, before) || currencyWords[next] != "" || currencyWords[before] != ""
}

// use marks a number with the words beside it that belong to it.
func use(words []word, at int, before []string, currency money.Currency) {
	words[at].used = true
	for _, i := range []int{at - 1, at + 1} {
		if i >= 0 && i < len(words) && currency != "" && currencyWords[words[i].key] == currency {
			words[i].used = true
		}
	}
	if at > 0 && slices.Contains(before, words[at-1].key) {
		words[at-1].used = true
	}
	if at > 1 && words[at-1].used && slices.Contains(before, words[at-2].key) { // “asks EUR 5200”, “serial no 12345”
		words[at-2].used = true
	}
}

// priceOf is the place of the price among the numbers of a line; −1 where none is one.
func priceOf(all []figure, now int) int {
	if i := slices.IndexFunc(all, func(f figure) bool { return f.asked && f.value >= leastPrice }); i >= 0 {
		return i
	}
	var left []int
	years, serials := 0, 0
	for i, f := range all {
		if f.serial || f.value < leastPrice {
			continue
		}
		left = append(left, i)
		if f.isYear(now) {
			years++
		}
		if f.isSerial() {
			serials++
		}
	}
	if len(left) == 0 {
		return -1
	}
	for i := len(left) - 1; i >= 0; i-- { // one that can be nothing else
		if f := all[left[i]]; !f.isYear(now) && !f.isSerial() {
			return left[i]
		}
	}
	for i := len(left) - 1; i >= 0; i-- { // a round one beside a serial number or a year
		if f := all[left[i]]; f.isRound() && f.isSerial() && (serials > 1 || len(f.text) == figuresOfSerial) {
			return left[i]
		}
	}
	last := left[len(left)-1]
	if f := all[last]; f.isYear(now) && years > 1 || f.isSerial() && serials > 1 {
		return last
	}
	return -1
}
