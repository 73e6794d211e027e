package demo

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"sort"
	"strconv"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// saleRows is the number of rows of the sales file.
const saleRows = 12000

// Planted says what was done to a row on purpose.
type Planted string

// What is planted in the sales.
const (
	PlantedTimesTen    Planted = "times_ten"         // a nought too many
	PlantedTenth       Planted = "tenth"             // a nought too few
	PlantedHammer      Planted = "hammer_as_all_in"  // a hammer price noted as all-in
	PlantedDuplicate   Planted = "duplicate"         // the row before once more
	PlantedUnknownRef  Planted = "unknown_reference" // a reference that the book lacks
	PlantedSpelling    Planted = "spelling"          // case and spaces only
	PlantedForeignCash Planted = "foreign_currency"  // needs the table of rates
)

// plantedCount is how many rows of each kind there are.
var plantedCount = []struct {
	what Planted
	n    int
}{
	{PlantedTimesTen, 32}, {PlantedTenth, 28}, {PlantedHammer, 25}, {PlantedUnknownRef, 20},
	{PlantedForeignCash, 40}, {PlantedSpelling, 100}, {PlantedDuplicate, 12},
}

// SaleRow is one row of the sales file, as written, with what the world's maker
// knows about it.
type SaleRow struct {
	Date, Maker, Reference, Price, Currency string
	Family, Metal, Dial, Year, Condition    string
	Completeness, Originality, Country      string
	Venue, Basis, Serial, Source, Note      string

	TrueMedian float64 // in EUR, of a sale with the true features on that date
	Planted    Planted // "" where nothing is wrong with the row
}

// saleColumns is the header of the sales file.
var saleColumns = []string{"date", "maker", "reference", "price", "currency", "family", "metal", "dial",
	"year", "condition",
	"completeness", "originality", "country", "venue", "basis", "serial", "source", "note"}

func (r SaleRow) cells() []string {
	return []string{r.Date, r.Maker, r.Reference, r.Price, r.Currency, r.Family, r.Metal, r.Dial, r.Year, r.Condition,
		r.Completeness, r.Originality, r.Country, r.Venue, r.Basis, r.Serial, r.Source, r.Note}
}

// WriteSales writes the sales file. Its first data row is on line 2.
func (w *World) WriteSales(out io.Writer) error {
	c := csv.NewWriter(out)
	if err := c.Write(saleColumns); err != nil {
		return fmt.Errorf("write sales: %w", err)
	}
	for _, r := range w.Sales {
		if err := c.Write(r.cells()); err != nil {
			return fmt.Errorf("write sales: %w", err)
		}
	}
	c.Flush()
	return c.Error()
}

// sold is a sale in the making.
type sold struct {
	features
	maker  *refbook.Maker
	ref    *refbook.Reference
	day    time.Time
	serial string
	price  float64 // in EUR, with its error
	median float64
}

// makeSales makes the rows in the order of their dates.
func makeSales(seed uint64, book *refbook.Book) []SaleRow {
	s := newStream(seed, "sales")
	dealt := refsByMarket(book)
	var all []sold
	var known []int // sales with a serial number, that may come up again
	for i := 0; i < saleRows-plantedTotal(PlantedDuplicate); i++ {
		day := saleDay(s)
		if len(known) > 50 && s.chance(0.06) {
			if again, ok := resale(s, all[known[s.IntN(len(known))]], day); ok {
				all = append(all, again)
				continue
			}
		}
		x := newSale(s, dealt, day)
		if x.serial != "" {
			known = append(known, len(all))
		}
		all = append(all, x)
	}
	for i := range all {
		all[i].setPrice(s)
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].day.Before(all[j].day) })
	rows := make([]SaleRow, len(all))
	for i, x := range all {
		rows[i] = x.row(s)
	}
	plant(newStream(seed, "planted sales"), rows, all)
	return duplicate(newStream(seed, "duplicate sales"), rows)
}

func plantedTotal(what Planted) int {
	for _, p := range plantedCount {
		if p.what == what {
			return p.n
		}
	}
	return 0
}

type dealtRef struct {
	maker  *refbook.Maker
	ref    *refbook.Reference
	weight float64
}

// refsByMarket lists the references with their share of the sales, in book order.
func refsByMarket(book *refbook.Book) []dealtRef {
	var out []dealtRef
	for i := range book.Makers {
		m := &book.Makers[i]
		for j := range m.References {
			r := &m.References[j]
			k := referenceMarket[m.ID+" "+r.ID]
			out = append(out, dealtRef{m, r, k.rare / math.Pow(float64(k.rank), 0.85)})
		}
	}
	return out
}

var (
	firstSale = time.Date(1998, 1, 3, 0, 0, 0, 0, time.UTC)
	lastSale  = time.Date(2026, 9, 29, 0, 0, 0, 0, time.UTC)
)

// saleDay is a day between the first and the last sale; sales grow more frequent.
func saleDay(s stream) time.Time {
	days := lastSale.Sub(firstSale).Hours() / 24
	u := math.Pow(s.Float64(), 0.62)
	return firstSale.AddDate(0, 0, int(u*days))
}

func newSale(s stream, dealt []dealtRef, day time.Time) sold {
	weights := make([]float64, len(dealt))
	for i, d := range dealt {
		weights[i] = d.weight
	}
	d := dealt[s.choose(weights)]
	x := sold{maker: d.maker, ref: d.ref, day: day}
	first, last := spanOf(d.ref)
	made := first + edtf.Month(s.IntN(int(last-first)+1))
	x.features = features{Maker: d.maker.ID, Family: d.ref.Family, Reference: d.ref.ID, Metal: d.ref.Metal,
		Dial: soldDial(s, d.ref, made), Completeness: soldSet(s, made), Country: soldCountry(s), Year: made.Year(),
		Condition:   math.Min(9.5, math.Max(3, to(7+1.15*s.NormFloat64(), 0.5))),
		Originality: math.Max(0.3, to(1-0.12*s.ExpFloat64(), 0.05))}
	x.Channel = soldBy(s)
	if s.chance(0.35) {
		x.serial = serialText(numberAt(s, d.maker, d.ref, made))
	}
	return x
}

// resale is the same watch sold once more, at least a year later.
func resale(s stream, before sold, day time.Time) (sold, bool) {
	if day.Sub(before.day) < 365*24*time.Hour {
		return sold{}, false
	}
	before.day = day
	before.Channel = soldBy(s)
	before.Country = soldCountry(s)
	if s.chance(0.3) {
		before.Condition = math.Max(3, before.Condition-0.5)
	}
	return before, true
}

func soldDial(s stream, ref *refbook.Reference, made edtf.Month) string {
	slot, ok := ref.Slot(evidence.Dial)
	if !ok {
		return ""
	}
	v := fittedAt(s, slot, ref, made)
	if v == nil {
		return ""
	}
	return v.Premium
}

func soldSet(s stream, made edtf.Month) string {
	levels := []string{"watch", "papers", "full"}
	if made.Year() < 1950 {
		return levels[s.choose([]float64{0.94, 0.04, 0.02})]
	}
	return levels[s.choose([]float64{0.72, 0.11, 0.17})]
}

func soldCountry(s stream) string {
	return []string{"DE", "CH", "FR", "GB", "IT", "US", "SE",
		"NL"}[s.choose([]float64{0.22, 0.16, 0.12, 0.14, 0.12, 0.14, 0.05, 0.05})]
}

func soldBy(s stream) channel {
	weights := make([]float64, len(channels))
	for i, c := range channels {
		weights[i] = c.share
	}
	return channels[s.choose(weights)]
}

func (x *sold) setPrice(s stream) {
	q := QuarterOf(x.day)
	x.median = x.features.median(q)
	x.price = x.median * math.Exp(referenceMarket[x.key()].scale()*s.t4())
}

// rounded is a price as people write it.
func rounded(v float64) float64 {
	switch {
	case v < 1000:
		return math.Max(5, to(v, 5))
	case v < 20000:
		return to(v, 10)
	}
	return to(v, 50)
}

// row writes the sale down, with the gaps that records have.
func (x sold) row(s stream) SaleRow {
	day := x.day.Format(time.DateOnly)
	switch s.choose([]float64{0.95, 0.04, 0.01}) {
	case 1:
		day = day[:7]
	case 2:
		day = day[:4]
	}
	gap := func(p float64, text string) string {
		if s.chance(p) {
			return ""
		}
		return text
	}
	family, _ := x.maker.Family(x.ref.Family)
	r := SaleRow{Date: day, Maker: x.maker.Name, Reference: x.ref.ID, Price: priceText(rounded(x.price)),
		Currency: "EUR",
		Family:   gap(0.06, family.Name), Metal: gap(0.04, x.Metal), Dial: gap(0.12, x.Dial),
		Year:      gap(0.15, strconv.Itoa(x.Year)),
		Condition: gap(0.18, short(x.Condition)), Completeness: gap(0.10, x.Completeness),
		Originality: gap(0.45, short(x.Originality)),
		Country:     gap(0.30, x.Country), Venue: gap(0.04, x.Channel.venue), Basis: gap(0.04, x.Channel.basis),
		Serial: x.serial,
		Source: sourceOf(s, x.Channel.venue, x.day), TrueMedian: x.median}
	if s.chance(0.03) {
		r.Note = pick(s, "estate", "crystal scratched", "strap not original", "serviced before sale",
			"sold with a pouch", "dial spotted")
	}
	return r
}

func sourceOf(s stream, venue string, day time.Time) string {
	n := 1 + s.IntN(400)
	switch venue {
	case "auction":
		return fmt.Sprintf("saleroom %s %d lot %d", pick(s, "north", "south", "lake", "harbour"), day.Year(), n)
	case "dealer":
		return fmt.Sprintf("list %d no. %d", day.Year(), n)
	case "trade":
		return "fair " + strconv.Itoa(day.Year())
	}
	return ""
}

func priceText(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func short(v float64) string { return strconv.FormatFloat(to(v, 0.01), 'f', -1, 64) }

// plant puts the errors into rows that carry none yet.
func plant(s stream, rows []SaleRow, all []sold) {
	for _, p := range plantedCount {
		if p.what == PlantedDuplicate {
			continue
		}
		for done := 0; done < p.n; {
			i := s.IntN(len(rows))
			if rows[i].Planted != "" || !spoil(s, p.what, &rows[i], all[i]) {
				continue
			}
			rows[i].Planted = p.what
			done++
		}
	}
}

// spoil does one kind of harm to a row and reports whether the row suited it.
func spoil(s stream, what Planted, r *SaleRow, x sold) bool {
	switch what {
	case PlantedTimesTen:
		r.Price = priceText(rounded(x.price) * 10)
	case PlantedTenth:
		r.Price = priceText(to(rounded(x.price)/10, 0.5))
	case PlantedHammer:
		if r.Basis != "hammer" || r.Venue != "auction" {
			return false
		}
		r.Basis = "all-in"
	case PlantedUnknownRef:
		r.Reference = strings.TrimRight(x.ref.ID, "0123456789") + strconv.Itoa(9000+s.IntN(900))
	case PlantedForeignCash:
		return foreign(s, r, x)
	case PlantedSpelling:
		misspell(s, r)
	}
	return true
}

// foreign notes the price in another currency at the rate of the day.
func foreign(s stream, r *SaleRow, x sold) bool {
	if len(r.Date) != len(time.DateOnly) || x.day.Weekday() == time.Saturday || x.day.Weekday() == time.Sunday ||
		x.day.Before(firstRate) {
		return false
	}
	r.Currency = pick(s, "USD", "CHF", "GBP")
	r.Price = priceText(rounded(x.price * rateOn(r.Currency, x.day)))
	return true
}

// misspell changes nothing but case and spaces.
func misspell(s stream, r *SaleRow) {
	switch s.IntN(4) {
	case 0:
		r.Maker = strings.ToUpper(r.Maker)
	case 1:
		r.Maker = " " + r.Maker + " "
	case 2:
		r.Reference = " " + strings.ToLower(r.Reference)
	case 3:
		r.Maker = strings.ToLower(r.Maker)
		r.Metal = strings.ToUpper(r.Metal)
	}
}

// duplicate repeats some rows straight after themselves.
func duplicate(s stream, rows []SaleRow) []SaleRow {
	twice := map[int]bool{}
	for len(twice) < plantedTotal(PlantedDuplicate) {
		if i := s.IntN(len(rows)); rows[i].Planted == "" {
			twice[i] = true
		}
	}
	out := make([]SaleRow, 0, len(rows)+len(twice))
	for i, r := range rows {
		out = append(out, r)
		if twice[i] {
			r.Planted = PlantedDuplicate
			out = append(out, r)
		}
	}
	return out
}
