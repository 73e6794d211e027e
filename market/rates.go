package market

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"midcase/market/table"
	"sort"
	"strconv"
	"strings"
	"time"

	"midcase/money"
)

// Rates are daily exchange rates, each per one of the base currency.
type Rates struct {
	base money.Currency
	day  []int32
	rate map[money.Currency][]float64 // by day, NaN where none was given
}

// rateAge is how old a rate may be on the day of the sale: long enough for the
// longest run of bank holidays.
const rateAge = 10

// ReadRates reads a table of reference rates in the layout in which central banks
// publish them: a column Date (ISO 8601 days, any order) and one column a
// currency, units of it per one euro, empty or N/A where there is none. A first column
// "Date per USD" makes them units per one dollar. It fails on the first line that is not so.
func ReadRates(r io.Reader) (*Rates, error) {
	in := csv.NewReader(r)
	in.FieldsPerRecord = -1
	in.ReuseRecord = true
	header, err := in.Read()
	if errors.Is(err, io.EOF) {
		return nil, errors.New("exchange rates: the file is empty; want a header with Date and currencies")
	}
	if err != nil {
		return nil, fmt.Errorf("exchange rates: %w", err)
	}
	base, columns, err := rateColumns(header)
	if err != nil {
		return nil, err
	}
	type row struct {
		day  int32
		rate []float64
	}
	var rows []row
	for {
		rec, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("exchange rates: %w", err)
		}
		line, _ := in.FieldPos(0)
		day, precision, problem := table.ParseDate([]byte(strings.TrimSpace(rec[0])))
		if problem != "" || precision != table.DayDate {
			return nil, fmt.Errorf("exchange rates:%d: date %q: want an ISO 8601 day", line,
				table.Excerpt([]byte(rec[0])))
		}
		values := make([]float64, len(columns))
		for k := range columns {
			values[k] = math.NaN()
			if k+1 < len(rec) && columns[k] != "" {
				if values[k], err = parseRate(rec[k+1]); err != nil {
					return nil, fmt.Errorf("exchange rates:%d: %s: %w", line, columns[k], err)
				}
			}
		}
		rows = append(rows, row{day, values})
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].day < rows[j].day })
	out := &Rates{base: base, rate: map[money.Currency][]float64{}}
	for i, w := range rows {
		if i > 0 && rows[i-1].day == w.day {
			return nil, fmt.Errorf("exchange rates: %s appears twice", table.DateText(w.day, table.DayDate))
		}
		out.day = append(out.day, w.day)
		for k, c := range columns {
			if c != "" {
				out.rate[c] = append(out.rate[c], w.rate[k])
			}
		}
	}
	return out, nil
}

func rateColumns(header []string) (base money.Currency, columns []money.Currency, err error) {
	base = "EUR"
	first := strings.Fields(table.Fold(strings.TrimPrefix(header[0], "\ufeff")))
	switch {
	case len(first) == 1 && first[0] == "date":
	case len(first) == 3 && first[0] == "date" && first[1] == "per":
		if base, err = money.ParseCurrency(first[2]); err != nil {
			return "", nil, fmt.Errorf("exchange rates:1: first column: %w", err)
		}
	default:
		return "", nil, fmt.Errorf("exchange rates:1: first column %q: want Date, then one column a currency",
			table.Excerpt([]byte(header[0])))
	}
	columns = make([]money.Currency, len(header)-1)
	seen := map[money.Currency]bool{}
	for k, h := range header[1:] {
		if strings.TrimSpace(h) == "" {
			continue // such files end their lines with a comma
		}
		c, err := money.ParseCurrency(h)
		if err != nil {
			return "", nil, fmt.Errorf("exchange rates:1: %w", err)
		}
		if seen[c] {
			return "", nil, fmt.Errorf("exchange rates:1: %s appears twice", c)
		}
		seen[c] = true
		columns[k] = c
	}
	return base, columns, nil
}

func parseRate(s string) (float64, error) {
	s = strings.TrimSpace(s)
	if s == "" || strings.EqualFold(s, "N/A") {
		return math.NaN(), nil
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || v <= 0 || math.IsInf(v, 0) {
		return 0, fmt.Errorf("rate %q: want a decimal above zero, or N/A", table.Excerpt([]byte(s)))
	}
	return v, nil
}

// Convert turns an amount of one currency into another at the rate of the day, or
// the latest rate of the ten days before it.
func (r *Rates) Convert(amount float64, from, to money.Currency, on time.Time) (float64, error) {
	u := on.UTC()
	f, err := r.factor(from, to, table.DayNumber(u.Year(), int(u.Month()), u.Day()))
	return amount * f, err
}

func (r *Rates) factor(from, to money.Currency, day int32) (float64, error) {
	if from == to {
		return 1, nil
	}
	a, err := r.perBase(from, day)
	if err != nil {
		return 0, err
	}
	b, err := r.perBase(to, day)
	if err != nil {
		return 0, err
	}
	return b / a, nil
}

func (r *Rates) perBase(c money.Currency, day int32) (float64, error) {
	if r == nil {
		return 0, fmt.Errorf("no exchange rates were imported, wanted %s", c)
	}
	if c == r.base {
		return 1, nil
	}
	col, ok := r.rate[c]
	if !ok {
		return 0, fmt.Errorf("the exchange rates have no column %s", c)
	}
	for k := sort.Search(len(r.day), func(k int) bool { return r.day[k] > day }) - 1; k >= 0 &&
		r.day[k] >= day-rateAge; k-- {
		if col[k] == col[k] {
			return col[k], nil
		}
	}
	return 0, fmt.Errorf("no rate of %s on %s or the %d days before", c, table.DateText(day, table.DayDate), rateAge)
}
