package ledger

import (
	"bufio"
	"fmt"
	"io"
	"iter"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/govalues/decimal"

	"midcase/money"
	"midcase/typed"
)

// WriteJournal writes entries as a plain-text journal of double entry, which general
// accounting programs read, with what their strict modes ask for: accounts and currencies
// declared, the rates that were used as prices, entries in the order of their days. An entry is a line with
// day, document number in brackets and payee, then the postings indented, each with account and amount; an
// amount in another currency is followed by @@ and what it came to in the shop's. payee names a party; it
// may be nil and may give an empty text, as for a person whose data were erased.
func WriteJournal(w io.Writer, entries iter.Seq2[Entry, error], payee func(party string) string) error {
	all, err := byDay(entries)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	writeHead(out, all)
	for _, e := range all {
		name := ""
		if payee != nil && e.Party != "" {
			name = payee(e.Party)
		}
		writeEntry(out, e, name)
	}
	return out.Flush()
}

// byDay are the entries by day, those of a day as they were kept.
func byDay(entries iter.Seq2[Entry, error]) ([]Entry, error) {
	var all []Entry
	for e, err := range entries {
		if err != nil {
			return nil, err
		}
		all = append(all, e)
	}
	slices.SortStableFunc(all, func(a, b Entry) int { return strings.Compare(a.Day, b.Day) })
	return all, nil
}

// writeHead declares accounts and currencies and lists the rates used.
func writeHead(out *bufio.Writer, all []Entry) {
	accounts, units := map[Account]bool{}, map[money.Currency]bool{}
	var prices []string
	for _, e := range all {
		units[e.Base] = true
		for _, l := range e.Lines {
			accounts[l.Account], units[l.Amount.Currency()] = true, true
			price := fmt.Sprintf("P %s %s %s %s", e.Day, l.Amount.Currency(), l.Rate, e.Base)
			if l.Amount.Currency() != e.Base && l.Account != Conversion && !slices.Contains(prices[max(0, len(prices)-8):], price) {
				prices = append(prices, price)
			}
		}
	}
	for _, c := range slices.Sorted(maps.Keys(units)) {
		fmt.Fprintf(out, "commodity %s\n    format %s %s\n", c, decimal.MustNew(1000, 0).Pad(c.MinorUnits()), c)
	}
	out.WriteString("tag entry\ntag reverses\ntag watch\n")
	for _, row := range chartRows {
		if accounts[row.Account] {
			fmt.Fprintf(out, "account %s\n", row.Account)
		}
	}
	out.WriteByte('\n')
	for _, p := range prices {
		out.WriteString(p + "\n")
	}
	if len(prices) > 0 {
		out.WriteByte('\n')
	}
}

func writeEntry(out *bufio.Writer, e Entry, name string) {
	out.WriteString(e.Day + " *")
	if e.Document != "" {
		out.WriteString(" (" + strings.NewReplacer("(", "[", ")", "]").Replace(onOneLine(e.Document)) + ")")
	}
	title := onOneLine(name)
	text := onOneLine(e.Text)
	if text == "" {
		text = strings.ReplaceAll(string(e.Kind), "_", " ")
	}
	if title != "" {
		title += " | "
	}
	fmt.Fprintf(out, " %s%s\n    ; entry: %s\n", title, text, onOneLine(e.ID))
	if e.Reverses != "" {
		fmt.Fprintf(out, "    ; reverses: %s\n", onOneLine(e.Reverses))
	}
	for _, l := range e.Lines {
		amount := fmt.Sprintf("%14s %s", l.Amount.Amount(), l.Amount.Currency())
		if l.Amount.Currency() != e.Base {
			amount += fmt.Sprintf(" @@ %s %s", l.Base.Decimal().Abs().Pad(e.Base.MinorUnits()), e.Base)
		}
		line := fmt.Sprintf("    %-28s  %s", l.Account, amount)
		if l.Watch != "" {
			line += "  ; watch: " + onOneLine(l.Watch)
		}
		out.WriteString(line + "\n")
	}
	out.WriteByte('\n')
}

// onOneLine makes a text fit a head line, where a semicolon begins a comment and a bar
// parts payee from note.
func onOneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == utf8.RuneError || unicode.IsControl(r):
			return ' '
		case r == ';':
			return ','
		case r == '|':
			return '/'
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// CSVColumns are the columns of WriteCSV, one row a line of an entry.
func CSVColumns() []string {
	return []string{"seq", "entry", "day", "kind", "document", "text", "account", "amount", "currency", "rate",
		"base_amount", "base_currency", "watch", "party", "reverses", "entered", "by"}
}

// WriteCSV writes entries as CSV, one row a line.
func WriteCSV(w io.Writer, entries iter.Seq2[Entry, error]) error {
	out := typed.NewSheet(w)
	if err := out.Write(CSVColumns()); err != nil {
		return err
	}
	for e, err := range entries {
		if err != nil {
			return err
		}
		for _, l := range e.Lines {
			if err := out.Write([]string{fmt.Sprint(e.Seq), e.ID, e.Day, string(e.Kind), e.Document, e.Text,
				string(l.Account), l.Amount.Amount(), string(l.Amount.Currency()),
				l.Rate.String(), l.Base.Amount(), string(l.Base.Currency()), l.Watch, l.Party, e.Reverses, e.At.UTC().Format("2006-01-02T15:04:05Z"), e.By}); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}

// ParseRate reads an exchange rate or a rate of tax: a plain decimal above zero.
func ParseRate(s string) (decimal.Decimal, error) {
	d, err := decimal.Parse(strings.TrimSpace(s))
	if err != nil || !d.IsPos() {
		return decimal.Zero, fmt.Errorf("rate %q: want a plain decimal above zero, such as 0.9512", s)
	}
	return d, nil
}
