package tables

import (
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// headerRule names a field by the parts that a header must have. A field that is empty
// says that the column is none of ours ("Net", "Buyer" in a list of sales).
type headerRule struct {
	Field string   `json:"field"`
	Has   []string `json:"has"`
}

// Fields that a header leaves open between a day and an amount ("Einkauf", "Sold"): what
// stands in the column decides.
const (
	buying  = "buying"
	selling = "selling"
	gone    = "gone" // of watches that are sold: when, or for how much
)

// partsOf are the parts that the words of a header name. Long words are looked into, for
// languages that write compounds ("Einkaufspreis", "Kaufdatum").
func (l *lexicon) partsOf(text string) map[string]bool {
	out := map[string]bool{}
	words := strings.FieldsFunc(plain(text), func(c rune) bool { return c == ' ' || c == '/' || c == '\'' || c == '?' })
	whole := map[string]bool{} // words that are a part as they stand: no short one is looked for in them ("annotazioni")
	for part, names := range l.parts {
		for _, w := range words {
			if names[w] {
				out[part], whole[w] = true, true
			}
		}
	}
	for part, names := range l.parts {
		for _, w := range words {
			if utf8.RuneCountInString(w) < 8 {
				continue
			}
			for n := range names {
				long := utf8.RuneCountInString(n)
				if long >= 5 && strings.Contains(w, n) || long >= 4 && !whole[w] && (strings.HasPrefix(w, n) || strings.HasSuffix(w, n)) {
					out[part] = true
				}
			}
		}
	}
	return out
}

// fieldByParts is the field of the first rule whose parts a header has.
func (l *lexicon) fieldByParts(text string, as Kind) string {
	parts := l.partsOf(text)
	for _, rule := range l.HeaderRules[as] {
		all := true
		for _, p := range rule.Has {
			all = all && parts[p]
		}
		if all {
			return rule.Field
		}
	}
	return ""
}

// settle decides by what stands in a column between a day and an amount of money, and
// takes a field back from a column that holds none of its sort.
func (l *lexicon) settle(field string, cells []string, as Kind) string {
	if len(cells) == 0 {
		switch field {
		case buying, selling, gone:
			return ""
		}
		return field
	}
	days := share(cells, l.dayish)
	if field != "cost" && days == 0 {
		days = share(cells, spreadsheetDays.MatchString)
	}
	amounts := share(cells, l.amountish)
	day, money := map[Kind]string{Stock: "sold", Sales: "date"}[as], map[Kind]string{Stock: "asking", Sales: "price"}[as]
	if field == gone {
		day, money = "sold", "sold_for"
	}
	if field == buying || field == "bought" || field == "cost" {
		day, money = "bought", "cost"
	}
	switch field {
	case buying, selling, gone, "bought", "cost":
		switch {
		case days >= 0.5 && days >= amounts:
			return day
		case amounts >= 0.5:
			return money
		case field == buying || field == selling || field == gone:
			return ""
		}
	case "email":
		if share(cells, func(c string) bool { return l.yes.has(c) || l.no.has(c) }) > 0.6 {
			return "consent" // "Email OK?"
		}
	case "name", "first", "last":
		if share(cells, func(c string) bool { return l.dayish(c) || monthYear.MatchString(c) || mailLike.MatchString(c) }) > 0.5 {
			return "" // "Last contact"
		}
	case "watch", "maker":
		if share(cells, func(c string) bool { return strings.Trim(c, "0123456789. ") == "" }) > 0.9 {
			return "" // "Item" of 1, 2, 3
		}
	}
	return field
}

// counted reports whether cells count the rows: nearly each is one more than the last. The words of a total or of a
// remark among them ("Subtotal") count nothing.
func counted(cells []string) bool {
	const fewest = 4
	steps, last, figured := 0, 0, 0
	for _, c := range cells {
		n, err := strconv.Atoi(strings.Trim(c, "#. "))
		switch {
		case err == nil:
		case strings.ContainsFunc(c, unicode.IsLetter):
			continue
		default:
			return false
		}
		if figured > 0 && (n == last+1 || n == last-1) {
			steps++
		}
		last = n
		figured++
	}
	return figured >= fewest && 5*figured >= 4*len(cells) && float64(steps) > 0.8*float64(figured-1)
}

// spreadsheetDays are the days of 1995 to 2055 as a spreadsheet keeps them.
var spreadsheetDays = regexp.MustCompile(`^(?:3[5-9]|4\d|5[0-6])\d{3}(?:\.\d+)?$`)

// anyYear stands for today where only the form of a day counts.
var anyYear = time.Date(2099, 1, 1, 0, 0, 0, 0, time.UTC)

func (l *lexicon) dayish(c string) bool {
	return !serialDay.MatchString(c) && l.looksLikeDay(c)
}

// looksLikeDay reports whether a cell is a day in some style, whichever comes first.
func (l *lexicon) looksLikeDay(c string) bool {
	_, either, ok := l.dayOf(c, unknown, anyYear)
	return ok && !yearOnly.MatchString(c) || either
}

func (l *lexicon) amountish(c string) bool {
	if l.saysNoPrice(c) {
		return true
	}
	a, ok := l.amountOf(c)
	return ok && a.valid()
}

// share is the share of cells of a sort.
func share(cells []string, is func(string) bool) float64 {
	n := 0
	for _, c := range cells {
		if is(c) {
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return float64(n) / float64(len(cells))
}
