package market

import (
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"midcase/market/table"
	"midcase/money"
)

// NewRates is an empty table of rates per one of a currency.
func NewRates(base money.Currency) *Rates {
	return &Rates{base: base, rate: map[money.Currency][]float64{}}
}

// Base is the currency of which one unit buys so many of the others.
func (r *Rates) Base() money.Currency { return r.base }

// Currencies are those that the table has rates of, beside its base, by code.
func (r *Rates) Currencies() []money.Currency { return slices.Sorted(maps.Keys(r.rate)) }

// Quote is the rate of a currency on a day: so many units of another for one of it.
type Quote struct {
	Currency money.Currency
	Day      string
	Rate     float64
	Days     int // on which the table has a rate of it
}

// Latest are the latest rates of all currencies of the table, in units of a currency that the table has.
func (r *Rates) Latest(in money.Currency) []Quote {
	var out []Quote
	for _, c := range append([]money.Currency{r.base}, r.Currencies()...) {
		if c == in {
			continue
		}
		q := Quote{Currency: c}
		for k := range r.day {
			f, err := r.onDay(c, in, k)
			if err != nil {
				continue
			}
			q.Days++
			q.Rate, q.Day = f, table.DateText(r.day[k], table.DayDate)
		}
		if q.Days > 0 {
			out = append(out, q)
		}
	}
	return out
}

// onDay converts by the rates of one row of the table alone.
func (r *Rates) onDay(from, to money.Currency, k int) (float64, error) {
	at := func(c money.Currency) float64 {
		if c == r.base {
			return 1
		}
		if col, ok := r.rate[c]; ok {
			return col[k]
		}
		return math.NaN()
	}
	f := at(to) / at(from)
	if math.IsNaN(f) {
		return 0, fmt.Errorf("no rate of %s to %s on %s", from, to, table.DateText(r.day[k], table.DayDate))
	}
	return f, nil
}

// Set notes that on a day one unit of a currency was worth so many of another; one of the two is the base.
func (r *Rates) Set(day time.Time, of money.Currency, worth float64, in money.Currency) error {
	switch {
	case of == in || (of != r.base && in != r.base):
		return fmt.Errorf("exchange rates: a rate of %s in %s does not fit rates per %s", of, in, r.base)
	case !(worth > 0) || math.IsInf(worth, 0):
		return fmt.Errorf("exchange rates: a rate of %g is not above zero", worth)
	}
	c, perBase := in, worth
	if in == r.base {
		c, perBase = of, 1/worth
	}
	u := day.UTC()
	r.put(table.DayNumber(u.Year(), int(u.Month()), u.Day()), c, perBase)
	return nil
}

// put writes one rate, with a row and a column of its own where there is none.
func (r *Rates) put(day int32, c money.Currency, perBase float64) {
	k, there := slices.BinarySearch(r.day, day)
	if !there {
		r.day = slices.Insert(r.day, k, day)
		for x := range r.rate {
			r.rate[x] = slices.Insert(r.rate[x], k, math.NaN())
		}
	}
	if r.rate[c] == nil {
		col := make([]float64, len(r.day))
		for i := range col {
			col[i] = math.NaN()
		}
		r.rate[c] = col
	}
	r.rate[c][k] = perBase
}

// Merge adds the rates of another table and returns how many it added; on a day that both have, the
// other's count. Rates per another currency are converted where the other table has this one's base.
func (r *Rates) Merge(other *Rates) (added int, err error) {
	if _, ok := other.rate[r.base]; !ok && other.base != r.base {
		return 0, fmt.Errorf("exchange rates: these are per 1 %s and have no column %s, which the rates kept so far are per",
			other.base, r.base)
	}
	for k, day := range other.day {
		for _, c := range append(other.Currencies(), other.base) {
			if c == r.base {
				continue
			}
			if f, err := other.onDay(r.base, c, k); err == nil {
				r.put(day, c, f)
				added++
			}
		}
	}
	return added, nil
}

// WriteCSV writes the table so that ReadRates reads it again.
func (r *Rates) WriteCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	header := []string{"Date"}
	if r.base != "EUR" {
		header[0] = "Date per " + string(r.base)
	}
	all := r.Currencies()
	for _, c := range all {
		header = append(header, string(c))
	}
	if err := out.Write(header); err != nil {
		return fmt.Errorf("exchange rates: %w", err)
	}
	for k, day := range r.day {
		row := []string{table.DateText(day, table.DayDate)}
		for _, c := range all {
			text := ""
			if v := r.rate[c][k]; !math.IsNaN(v) {
				text = strconv.FormatFloat(v, 'g', 10, 64)
			}
			row = append(row, text)
		}
		if err := out.Write(row); err != nil {
			return fmt.Errorf("exchange rates: %w", err)
		}
	}
	out.Flush()
	return out.Error()
}
