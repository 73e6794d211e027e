package tables

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"
)

// BankRow is one movement of a bank's table. Amounts are plain decimals, below zero for what was paid out.
type BankRow struct {
	Line                                     int
	Day                                      string // ISO 8601
	Amount, Currency, Balance                string
	Name, Account, Text, Reference, Original string
}

// BankTable is what was understood of a bank's table.
type BankTable struct {
	Rows    []BankRow
	KeptOut []KeptOut
	Asks    string // what nobody can know: day-order; empty for nothing
	OneSign bool   // all amounts are above zero, and nothing says which way they went
}

//go:embed bank.json
var bankText []byte

// bankWords are the headers of each column, in the order in which they are preferred.
var bankWords = func() map[string][]string {
	out := map[string][]string{}
	if err := json.Unmarshal(bankText, &out); err != nil {
		panic(fmt.Sprintf("bank.json: %v", err)) // a file of the program, which a test reads
	}
	return out
}()

// ReadBank reads a bank's table: any separator and encoding, amounts with a sign, with a mark of debit and credit, or
// in two columns, in European or US form. dayOrder is day-first, month-first or empty.
func ReadBank(data []byte, dayOrder string, now time.Time) (BankTable, error) {
	rows, err := open(data)
	if err != nil {
		return BankTable{}, err
	}
	at, cols := bankHeader(rows)
	if cols == nil {
		return BankTable{}, fmt.Errorf("tables: no row names a day and an amount, or debit and credit")
	}
	b := bankReader{cols: cols, ord: order(dayOrder), now: now, l: vocabulary()}
	body := rows[at+1:]
	if b.ord == unknown {
		var days []string
		for _, r := range body {
			days = append(days, b.cell(r, "day"))
		}
		b.ord = orderOf(days, slashed)
	}
	b.oneSign = true
	for _, r := range body {
		if !r.empty() {
			b.read(r)
		}
	}
	_, two := cols["debit"]
	_, marked := cols["sign"]
	b.out.OneSign = b.oneSign && !two && !marked && len(b.out.Rows) > 0
	return b.out, nil
}

// bankHeader finds the row of headers: the one that names most columns, with a day and an amount among them.
func bankHeader(rows []gridRow) (at int, cols map[string]int) {
	for i, r := range rows[:min(len(rows), 40)] {
		found := bankColumns(r)
		_, amount := found["amount"]
		_, debit := found["debit"]
		_, credit := found["credit"]
		if _, day := found["day"]; day && (amount || debit && credit) && len(found) > len(cols) {
			at, cols = i, found
		}
	}
	return at, cols
}

func bankColumns(r gridRow) map[string]int {
	out, taken := map[string]int{}, map[int]bool{}
	for _, field := range []string{"day", "debit", "credit", "amount", "sign", "currency", "balance", "original",
		"name",
		"account", "reference", "text"} {
		for _, want := range bankWords[field] {
			for i := range r.cells {
				if _, done := out[field]; !done && !taken[i] && bankNamed(r.cell(i), want) {
					out[field], taken[i] = i, true
				}
			}
		}
	}
	return out
}

// bankNamed reports whether a header is a word, with or without a currency behind it.
func bankNamed(header, want string) bool {
	h := strings.ToLower(strings.TrimSpace(header))
	if cut := strings.IndexAny(h, "(["); cut > 0 {
		h = strings.TrimSpace(h[:cut])
	}
	for _, end := range []string{" eur", " usd", " gbp", " chf", " in eur", " in chf"} {
		h = strings.TrimSuffix(h, end)
	}
	return h == want
}

type bankReader struct {
	cols    map[string]int
	ord     order
	now     time.Time
	l       *lexicon
	oneSign bool
	out     BankTable
}

func (b *bankReader) cell(r gridRow, field string) string {
	if i, ok := b.cols[field]; ok {
		return strings.Join(strings.Fields(r.cell(i)), " ")
	}
	return ""
}

func (b *bankReader) keep(r gridRow, field, found, why string) {
	b.out.KeptOut = append(b.out.KeptOut, KeptOut{r.line, field, found, why})
}

func (b *bankReader) read(r gridRow) {
	day := b.cell(r, "day")
	date, ambiguous, ok := b.l.dayOf(day, b.ord, b.now)
	switch {
	case ambiguous:
		b.out.Asks = AskDayOrder
		b.keep(r, "day", day, "day and month can be read either way")
		return
	case !ok || len(date) != len(time.DateOnly):
		if day != "" {
			b.keep(r, "day", day, "not a day")
		}
		return
	}
	amount, ok := b.amount(r)
	if !ok {
		return
	}
	row := BankRow{Line: r.line, Day: date, Amount: amount, Currency: strings.ToUpper(b.cell(r, "currency")),
		Name: b.cell(r, "name"), Account: b.cell(r, "account"), Text: b.cell(r, "text"),
		Reference: b.cell(r, "reference")}
	if balance, ok := signed(b.cell(r, "balance")); ok {
		row.Balance = balance
	}
	if len(row.Currency) != 3 {
		row.Currency = strings.ToUpper(b.l.currencyIn(strings.ToLower(b.cell(r, "amount"))))
	}
	b.out.Rows = append(b.out.Rows, row)
}

// amount is what a row moves, below zero for what was paid out.
func (b *bankReader) amount(r gridRow) (string, bool) {
	if _, two := b.cols["debit"]; two {
		out, in := b.cell(r, "debit"), b.cell(r, "credit")
		o, isOut := signed(out)
		i, isIn := signed(in)
		isOut, isIn = isOut && !nought(o), isIn && !nought(i)
		switch {
		case isOut && isIn:
			b.keep(r, "amount", out+" and "+in, "a debit and a credit in one row")
		case isOut: // some banks write a debit with its sign
			return "-" + strings.TrimPrefix(o, "-"), true
		case isIn:
			return i, true
		case out+in != "":
			b.keep(r, "amount", out+in, "not an amount of money")
		}
		return "", false
	}
	cell := b.cell(r, "amount")
	a, ok := signed(cell)
	if !ok {
		if cell != "" {
			b.keep(r, "amount", cell, "not an amount of money")
		}
		return "", false
	}
	mark := strings.ToLower(b.cell(r, "sign"))
	if slices.Contains(bankWords["means debit"], mark) {
		a = "-" + strings.TrimPrefix(a, "-")
	}
	b.oneSign = b.oneSign && !strings.HasPrefix(a, "-")
	return a, true
}

func nought(a string) bool { return strings.Trim(a, "-0.") == "" }

// signed reads an amount with its sign: in front, behind, in brackets, or as DR.
func signed(cell string) (string, bool) {
	text := strings.ToLower(strings.TrimSpace(cell))
	at := figures.FindAllStringIndex(text, -1)
	if len(at) != 1 {
		return "", false
	}
	before, after := text[:at[0][0]], text[at[0][1]:]
	plainNumber, ok := decimalOf(strings.TrimSpace(text[at[0][0]:at[0][1]]))
	if strings.HasPrefix(plainNumber, ".") {
		plainNumber = "0" + plainNumber
	}
	if !ok {
		return "", false
	}
	word := strings.Trim(after, " .")
	if strings.ContainsAny(before, "-−–(") || strings.HasPrefix(word, "-") || strings.HasPrefix(word, "−") ||
		strings.HasSuffix(word, "dr") {
		return "-" + plainNumber, true
	}
	return plainNumber, true
}
