package ledger

import (
	"bufio"
	"fmt"
	"io"
	"iter"
	"strings"
)

// WriteBeancount writes entries in the plain-text form with capitalised account names under five roots,
// quoted texts and accounts opened by date, which bean-check reads. Memoranda stand under equity.
func WriteBeancount(w io.Writer, entries iter.Seq2[Entry, error], payee func(party string) string) error {
	all, err := byDay(entries)
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	if len(all) > 0 {
		fmt.Fprintf(out, "option \"operating_currency\" %q\n", string(all[0].Base))
		opened := map[Account]bool{}
		for _, e := range all {
			for _, l := range e.Lines {
				if !opened[l.Account] {
					opened[l.Account] = true
					fmt.Fprintf(out, "%s open %s\n", all[0].Day, rooted(l.Account))
				}
			}
		}
	}
	for _, e := range all {
		name, text := "", onOneLine(e.Text)
		if payee != nil && e.Party != "" {
			name = onOneLine(payee(e.Party))
		}
		if text == "" {
			text = strings.ReplaceAll(string(e.Kind), "_", " ")
		}
		fmt.Fprintf(out, "\n%s * %s %s\n  entry: %s\n", e.Day, quoted(name), quoted(text), quoted(e.ID))
		for _, l := range e.Lines {
			fmt.Fprintf(out, "  %s  %s %s", rooted(l.Account), l.Amount.Amount(), l.Amount.Currency())
			if l.Amount.Currency() != e.Base {
				fmt.Fprintf(out, " @@ %s %s", l.Base.Decimal().Abs().Pad(e.Base.MinorUnits()), e.Base)
			}
			out.WriteByte('\n')
		}
	}
	return out.Flush()
}

func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

// rooted is an account with its parts capitalised, such as Assets:Stock:Written-down.
func rooted(a Account) string {
	parts := strings.Split(string(a), ":")
	for i, p := range parts {
		p = strings.ReplaceAll(p, "_", "-")
		parts[i] = strings.ToUpper(p[:1]) + p[1:]
	}
	if parts[0] == "Memoranda" {
		parts[0] = "Equity:Memoranda"
	}
	return strings.Join(parts, ":")
}
