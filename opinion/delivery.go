package opinion

import (
	"slices"

	"midcase/evidence"
	"midcase/origin"
	"midcase/refbook"
)

// How far the place of delivery is known: common practice, no published source.
const (
	oneMarket    = 0.15 // chance of each market that the book names, where no document says
	mostMarkets  = 0.6  // of all of them together
	onlyMarkets  = 0.95 // of all of them together, where the reference was sold only there
	countryWrong = 0.05 // share of documents that name another country
	countryOther = 0.2  // share of those that name one given market
)

// countries are the countries of delivery that documents of this watch name, each once.
func (f *forming) countries() []string {
	var out []string
	for _, d := range evidence.All[*evidence.Document](f.file) {
		if c := d.Data.Country; c != "" && f.isSerial(d.Data.Serial) && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	return out
}

// markets are the markets that the book names in the windows of the reference.
func (f *forming) markets() []string {
	var out []string
	for _, s := range f.ref.Slots {
		for _, v := range s.Variants {
			for _, w := range v.Windows {
				out = append(out, w.Markets...)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// delivery is the chance of each place of delivery that matters, by the documents.
func (f *forming) delivery() []origin.Delivery {
	markets := f.markets()
	if len(markets) == 0 {
		return nil
	}
	each := min(oneMarket, mostMarkets/float64(len(markets)))
	var out []origin.Delivery
	named := 0.0
	for _, m := range markets {
		p := each
		if n := len(f.ref.Markets); n > 0 && slices.Contains(f.ref.Markets, m) {
			p = onlyMarkets / float64(n)
		} else if n > 0 {
			p = (1 - onlyMarkets) / float64(len(markets)+1)
		}
		out = append(out, origin.Delivery{Market: m, P: p})
		named += p
	}
	elsewhere := max(0, 1-named)
	for _, c := range f.countries() {
		sum := 0.0
		for i := range out {
			out[i].P *= naming(c == out[i].Market)
			sum += out[i].P
		}
		elsewhere *= naming(!slices.Contains(markets, c))
		sum += elsewhere
		for i := range out {
			out[i].P /= sum
		}
		elsewhere /= sum
	}
	return out
}

// naming is how likely a document names a country, if the watch went there or not.
func naming(there bool) float64 {
	if there {
		return 1 - countryWrong
	}
	return countryWrong * countryOther
}

// soldIn reports whether a window or rule holds where the watch was delivered, and
// whether that is known.
func (f *forming) soldIn(markets []string) (holds, known bool) {
	countries := f.countries()
	if len(markets) == 0 {
		return true, true
	}
	for _, c := range countries {
		holds = holds || slices.Contains(markets, c)
	}
	return holds, len(countries) > 0
}

// here is a variant with the windows that hold where the watch was delivered; all of
// them where that is not known. elsewhere are the markets of the others.
func (f *forming) here(v *refbook.Variant) (here refbook.Variant, elsewhere []string) {
	here = *v
	here.Windows = nil
	for _, w := range v.Windows {
		if holds, known := f.soldIn(w.Markets); holds || !known {
			here.Windows = append(here.Windows, w)
			continue
		}
		elsewhere = append(elsewhere, w.Markets...)
	}
	return here, elsewhere
}
