package bank

import (
	"cmp"
	"fmt"
	"strings"

	"github.com/govalues/decimal"

	"midcase/money"
	"midcase/tables"
)

// readTable reads a bank's CSV, TSV or XLSX.
func readTable(b []byte, opt Options) ([]Statement, error) {
	t, err := tables.ReadBank(b, opt.DayOrder, opt.Now)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrStatement, err)
	}
	var s Statement
	var balances []string
	for _, r := range t.Rows {
		code := cmp.Or(r.Currency, string(opt.Currency))
		m, err := money.Parse(r.Amount, code)
		if err != nil {
			s.Says = append(s.Says, fmt.Sprintf("Line %d: %v.", r.Line, err))
			continue
		}
		if m.Sign() == 0 {
			continue
		}
		s.Lines = append(s.Lines, Line{Day: r.Day, Amount: m, Name: r.Name, Account: r.Account, Text: r.Text,
			Reference: r.Reference})
		balances = append(balances, r.Balance)
	}
	for _, k := range t.KeptOut {
		s.Says = append(s.Says, fmt.Sprintf("Line %d: “%s” was left out: %s.", k.Line, k.Found, k.Reason))
	}
	if t.Asks != "" {
		s.Says = append(s.Says, "Some days can be read either way. Say whether the day or the month comes first.")
	}
	if t.OneSign {
		s.Says = append(s.Says,
			"No amount has a sign, and no column says debit or credit: all count as money that came in.")
	}
	if len(s.Lines) == 0 && len(s.Says) == 0 {
		return nil, fmt.Errorf("%w: no row has a day and an amount", ErrStatement)
	}
	s.byBalances(balances)
	return []Statement{s}, nil
}

// byBalances finds opening and closing balance from those behind the rows, which may run either way, and says where
// they jump.
func (s *Statement) byBalances(balances []string) {
	n := len(s.Lines)
	for i, b := range balances {
		if b == "" || s.Lines[i].Amount.Currency() != s.Lines[0].Amount.Currency() {
			return
		}
	}
	if n == 0 {
		return
	}
	at := func(i int) decimal.Decimal { d, _ := decimal.Parse(balances[i]); return d }
	jumps := func(newestFirst bool) (out []int) {
		for i := 1; i < n; i++ {
			from, to, moved := at(i-1), at(i), s.Lines[i].Amount.Decimal()
			if newestFirst {
				from, to, moved = at(i), at(i-1), s.Lines[i-1].Amount.Decimal()
			}
			if end, err := from.Add(moved); err != nil || end.Cmp(to) != 0 {
				out = append(out, i)
			}
		}
		return out
	}
	first, last, wrong := 0, n-1, jumps(false)
	if down := jumps(true); len(down) < len(wrong) {
		first, last, wrong = n-1, 0, down
	}
	c := s.Lines[0].Amount.Currency()
	opening, err := at(first).Sub(s.Lines[first].Amount.Decimal())
	if err != nil {
		return
	}
	if m, err := money.New(opening, c); err == nil {
		s.Opening = m
	}
	if m, err := money.New(at(last), c); err == nil {
		s.Closing = m
	}
	if len(wrong) > 0 {
		var days []string
		for _, i := range wrong[:min(3, len(wrong))] {
			days = append(days, s.Lines[i].Day)
		}
		s.Says = append(s.Says, "The balances jump at "+strings.Join(days, ", ")+": a row may be missing.")
	}
}
