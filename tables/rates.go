package tables

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/money"
)

// RatesCSV turns a table of exchange rates as banks publish them into the plain one that market.ReadRates reads: any
// separator and encoding, lines above the headings, a second row of headings, decimal commas, days in any style. A
// heading that names a quantity ("1 USD", "100 JPY") holds the worth of so many units in the base currency; without
// one the column holds units per one euro, or per what the first heading says ("Date per USD"). It fails where no row
// has a day and a currency, and on the first line that cannot be read, with its column and what was found.
func RatesCSV(data []byte, base money.Currency, now time.Time) ([]byte, error) {
	rows, err := open(data)
	if err != nil {
		return nil, fmt.Errorf("tables: %w", err)
	}
	at, cols := ratesHeader(rows)
	if len(cols) == 0 {
		return nil, fmt.Errorf("tables: no row of the first %d has a column Date and a column for a currency, such as USD",
			headerRows)
	}
	t := ratesTable{cols: cols, head: rows[at], l: vocabulary(), now: now, per: "EUR"}
	if words := strings.Fields(rows[at].cell(0)); len(words) == 3 && strings.EqualFold(words[1], "per") {
		t.per = money.Currency(strings.ToUpper(words[2]))
	}
	if t.cols[0].units > 0 {
		t.per = base
	}
	body := rows[at+1:]
	t.ord = orderOf(allCells(body, 0), slashed)
	return t.csv(body)
}

// ErrNoRates is wrapped where a table has days and currencies and not one rate.
var ErrNoRates = errors.New("no rates found")

// rateColumn is a column of one currency. Units is how many of it the cells are worth; 0 where they are per unit of
// the base.
type rateColumn struct {
	at    int
	code  money.Currency
	units float64
}

var (
	rateHead = regexp.MustCompile(`^(?:(\d{1,6})\s*)?([A-Z]{3})$`)
	dayHeads = set{"date": true, "datum": true, "data": true, "day": true, "tag": true, "jour": true, "giorno": true,
		"fecha": true, "stichtag": true, "observation date": true, "time period": true}
)

// ratesHeader finds the row that names a day first and then currencies. All columns have to be of one kind, with a
// quantity or without.
func ratesHeader(rows []gridRow) (int, []rateColumn) {
	for i, r := range rows[:min(len(rows), headerRows)] {
		first := plain(strings.TrimPrefix(r.cell(0), "\ufeff"))
		if !dayHeads.has(first) && !strings.HasPrefix(first, "date per ") {
			continue
		}
		var out []rateColumn
		for k := range r.cells[1:] {
			m := rateHead.FindStringSubmatch(strings.ToUpper(r.cell(k + 1)))
			if m == nil {
				continue
			}
			code, err := money.ParseCurrency(m[2])
			if err != nil {
				continue
			}
			units, _ := strconv.ParseFloat(m[1], 64)
			if len(out) > 0 && (units > 0) != (out[0].units > 0) {
				return 0, nil
			}
			out = append(out, rateColumn{k + 1, code, units})
		}
		if len(out) > 0 {
			return i, withUnits(out, rows[min(i+1, len(rows)-1)])
		}
	}
	return 0, nil
}

// withUnits takes the quantities of a second row of headings: "(1 USD)" below "USD".
func withUnits(cols []rateColumn, below gridRow) []rateColumn {
	out := slices.Clone(cols)
	for i, c := range out {
		m := rateHead.FindStringSubmatch(strings.ToUpper(strings.Trim(below.cell(c.at), "() ")))
		if m == nil || m[1] == "" || m[2] != string(c.code) {
			return cols
		}
		out[i].units, _ = strconv.ParseFloat(m[1], 64)
	}
	return out
}

// ratesTable is a table of rates while it is turned into the plain form.
type ratesTable struct {
	cols []rateColumn
	head gridRow
	l    *lexicon
	now  time.Time
	ord  order
	per  money.Currency
}

func (t ratesTable) csv(body []gridRow) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	head := []string{"Date per " + string(t.per)}
	for _, c := range t.cols {
		if c.code != t.per {
			head = append(head, string(c.code))
		}
	}
	if err := w.Write(head); err != nil {
		return nil, err
	}
	found := 0
	for n, row := range body {
		if row.empty() || n < 2 && row.cell(0) == "" {
			continue // a second row of headings
		}
		line := []string{""}
		day, ambiguous, ok := t.l.dayOf(row.cell(0), t.ord, t.now)
		switch {
		case ambiguous:
			return nil, fmt.Errorf("tables: line %d, column %s: day %q can be read day first or month first; "+
				"write it as 2026-03-31", row.line, t.head.cell(0), row.cell(0))
		case !ok || len(day) != len(time.DateOnly):
			if !slices.ContainsFunc(t.cols, func(c rateColumn) bool { _, _, is := t.rate(row, c); return is }) {
				continue // a remark
			}
			return nil, fmt.Errorf("tables: line %d, column %s: found %q, want a day such as 2026-03-31", row.line,
				t.head.cell(0), row.cell(0))
		}
		line[0] = day
		for _, c := range t.cols {
			text, given, ok := t.rate(row, c)
			if c.code == t.per {
				if v, err := strconv.ParseFloat(text, 64); ok && (err != nil || math.Abs(v-1) > 1e-6) {
					return nil, fmt.Errorf("tables: line %d, column %s: found %s where 1 %s is 1: head the columns "+
						"“1 USD” where they hold the worth in another currency", row.line, t.head.cell(c.at), row.cell(c.at), c.code)
				}
				continue
			}
			if given && !ok {
				return nil, fmt.Errorf("tables: line %d, column %s: rate %q: want a decimal above zero, or nothing",
					row.line, t.head.cell(c.at), row.cell(c.at))
			}
			if ok {
				found++
			}
			line = append(line, text)
		}
		if err := w.Write(line); err != nil {
			return nil, err
		}
	}
	w.Flush()
	if found == 0 {
		return nil, fmt.Errorf("tables: %w: the headings stand in line %d and no line below has a day and a rate",
			ErrNoRates, t.head.line)
	}
	return b.Bytes(), w.Error()
}

// rate is a cell as units of the currency per one of the base; given is that something stands in it.
func (t ratesTable) rate(row gridRow, c rateColumn) (text string, given, ok bool) {
	cell := strings.ToUpper(row.cell(c.at))
	switch cell {
	case "", "N/A", "NA", "-", "–", ".", "...", "ND", "N.D.":
		return "", false, false
	}
	v, err := strconv.ParseFloat(decimalPoint(cell), 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return "", true, false
	}
	if c.units > 0 {
		v = c.units / v
	}
	return strconv.FormatFloat(v, 'g', 12, 64), true, true
}

// decimalPoint writes a rate with a point: of two kinds of mark the last is the decimal one; a single mark always is,
// since a rate of thousands is written with its decimals.
func decimalPoint(s string) string {
	s = gaps.Replace(s)
	if at := strings.LastIndexAny(s, ".,"); at >= 0 {
		return points.Replace(s[:at]) + "." + s[at+1:]
	}
	return s
}
