package ledger

import (
	"bufio"
	"fmt"
	"io"
	"iter"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/govalues/decimal"

	"midcase/typed"
)

// WriteJournal writes entries as a plain-text journal of double entry, which general
// accounting programs read: a line with day, document number in brackets and payee, then the
// postings indented, each with account and amount; an amount in another currency is
// followed by @@ and what it came to in the shop's. payee names a party; it may be nil
// and may give an empty text, as for a person whose data were erased.
func WriteJournal(w io.Writer, entries iter.Seq2[Entry, error], payee func(party string) string) error {
	out := bufio.NewWriter(w)
	for e, err := range entries {
		if err != nil {
			return err
		}
		name := ""
		if payee != nil && e.Party != "" {
			name = payee(e.Party)
		}
		writeEntry(out, e, name)
	}
	return out.Flush()
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
