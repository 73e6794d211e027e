package demo

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"
)

// firstRate is the first day of the table of rates.
var firstRate = time.Date(1999, 1, 4, 0, 0, 0, 0, time.UTC)

// today is the day on which the invented world stands still: the day after the
// last thing that happened in it.
var today = time.Date(2026, 10, 1, 0, 0, 0, 0, time.UTC)

// rateOn is an invented rate: units of a currency for one EUR.
func rateOn(currency string, day time.Time) float64 {
	t := years(day)
	v := 1.0
	switch currency {
	case "USD":
		v = 1.16 + 0.14*math.Sin((t-2004)/3.1) + 0.02*math.Sin(t*5)
	case "CHF":
		v = 1.58 - 0.64*smoothStep((t-2007)/16) + 0.01*math.Sin(t*4)
	case "GBP":
		v = 0.66 + 0.20*smoothStep((t-2006)/4) + 0.02*math.Sin(t*1.7)
	}
	return to(v, 0.0001)
}

// years is a day in years, such as 2004.5 at the start of July.
func years(day time.Time) float64 { return float64(day.Year()) + float64(day.YearDay()-1)/365.25 }

// WriteRates writes the table of rates in the layout that central banks use for
// reference rates: a row a working day, the latest first, a column a currency, units
// for one EUR.
func (w *World) WriteRates(out io.Writer) error {
	c := csv.NewWriter(out)
	if err := c.Write([]string{"Date", "USD", "CHF", "GBP"}); err != nil {
		return fmt.Errorf("write rates: %w", err)
	}
	for day := today; !day.Before(firstRate); day = day.AddDate(0, 0, -1) {
		if day.Weekday() == time.Saturday || day.Weekday() == time.Sunday {
			continue
		}
		row := []string{day.Format(time.DateOnly)}
		for _, cur := range []string{"USD", "CHF", "GBP"} {
			row = append(row, strconv.FormatFloat(rateOn(cur, day), 'f', 4, 64))
		}
		if err := c.Write(row); err != nil {
			return fmt.Errorf("write rates: %w", err)
		}
	}
	c.Flush()
	return c.Error()
}

// Spot is an invented price of fine metal, in EUR per troy ounce.
func (w *World) Spot(metal string, day time.Time) float64 { return spotOn(metal, day) }

func spotOn(metal string, day time.Time) float64 {
	t := years(day)
	switch metal {
	case "gold":
		return to(250+900*smoothStep((t-2004)/9)+1850*smoothStep((t-2017)/11)+25*math.Sin(t*3.3), 0.05)
	case "silver":
		return to(4.8+13*smoothStep((t-2003)/9)+17*smoothStep((t-2018)/10)+0.8*math.Sin(t*2.9), 0.01)
	case "platinum":
		return to(340+650*smoothStep((t-1999)/9)+120*math.Sin(t*1.3), 0.05)
	}
	return 0
}

// WriteMetals writes the metal prices: date, metal, currency, per_troy_ounce; the
// first of each month.
func (w *World) WriteMetals(out io.Writer) error {
	c := csv.NewWriter(out)
	if err := c.Write([]string{"date", "metal", "currency", "per_troy_ounce"}); err != nil {
		return fmt.Errorf("write metal prices: %w", err)
	}
	for day := time.Date(1998, 1, 1, 0, 0, 0, 0, time.UTC); !day.After(today); day = day.AddDate(0, 1, 0) {
		for _, metal := range []string{"gold", "silver", "platinum"} {
			if err := c.Write([]string{day.Format(time.DateOnly), metal, "EUR",
				strconv.FormatFloat(spotOn(metal, day), 'f', 2, 64)}); err != nil {
				return fmt.Errorf("write metal prices: %w", err)
			}
		}
	}
	c.Flush()
	return c.Error()
}
