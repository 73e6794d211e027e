package market_test

import (
	"bytes"
	"fmt"
	"strconv"
	"testing"

	"midcase/market"
)

// salesFile writes sales as a sales file.
func salesFile(sales []market.Sale) []byte {
	var b bytes.Buffer
	b.WriteString("date,maker,family,reference,metal,dial,year,condition,completeness,country,venue,basis,price,currency\n")
	for _, s := range sales {
		cond := ""
		if s.Condition != nil {
			cond = strconv.FormatFloat(*s.Condition, 'f', -1, 64)
		}
		fmt.Fprintf(&b, "%s,%s,%s,%s,%s,%s,%d,%s,%s,%s,%s,%s,%s,%s\n", s.Date, s.Maker, s.Family, s.Reference, s.Metal,
			s.Dial, s.Year, cond, s.Completeness, s.Country, s.Venue, s.Basis, s.Price.Amount(), s.Price.Currency())
	}
	return b.Bytes()
}

func BenchmarkReadCSV(b *testing.B) {
	file := salesFile(invented(100000, 1))
	b.SetBytes(int64(len(file)))
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := market.ReadCSV(bytes.NewReader(file), "sales.csv"); err != nil {
			b.Fatal(err)
		}
	}
}
