package document

import (
	"sort"
	"strconv"
	"strings"

	"midcase/internal/chart"
	"midcase/market"
	"midcase/opinion"
	"midcase/say"
)

const (
	listedComparables = 20 // rows of the table and of the chart
	gridComparables   = 8  // columns of the adjustment grid
	gridBlock         = 4  // columns side by side
)

const notLicensed = "An opinion of a dealer, not a licensed appraisal. Where a court, a tax office, an insurer or a " +
	"lender asks for one, a licensed appraiser must make it."

func kindWords(kind string) string {
	switch kind {
	case "auction-hammer":
		return "auction, hammer"
	case "auction-all-in":
		return "auction, all-in"
	case "insurance":
		return "insurance replacement"
	}
	return kind
}

func (w *writer) value() section {
	v := w.o.Value
	s := section{id: "value", title: "What it is worth", cites: w.refs.cite(nil, v.Basis...)}
	if !v.Known {
		s.finding = cannot(v.CannotTell, "not valued")
	} else {
		s.finding = w.valueFinding()
	}
	s.blocks = append(s.blocks, w.valueTerms())
	if v.Known {
		s.blocks = append(s.blocks, w.valueRanges())
	}
	if len(v.Says) > 0 {
		s.blocks = append(s.blocks, says(say.Strings(v.Says)))
	}
	if v.Known || len(v.Comparables) > 0 {
		s.blocks = append(s.blocks, w.comparables()...)
	}
	if len(v.Contributions) > 0 {
		s.blocks = append(s.blocks, contributions(v.Contributions))
	}
	return s
}

// cannot says that something cannot be told, and why.
func cannot(why say.Statement, otherwise string) string {
	if why.IsZero() {
		why = say.Verbatim(otherwise)
	}
	return told(say.That("report.cannot-tell", say.Saying("why", why)))
}

func says(texts []string) bullets {
	var b bullets
	for _, t := range texts {
		if t = opening(t); t != "" {
			b = append(b, cited{text: t})
		}
	}
	return b
}

func (w *writer) valueFinding() string {
	v := w.o.Value
	level, i := headline(v)
	if level == "" {
		return "A value is stated without its range."
	}
	s := "Worth " + priceRange(i, v.Currency) + " (" + level + " range)"
	if v.Median != nil {
		s += ", median " + priced(*v.Median, i, v.Currency, "value")
	}
	return s + ", as " + kindWords(orElse(v.Kind, "unnamed kind of")) + " value on " + isoDayWords(v.AsOf) + "."
}

// valueTerms says what a figure of value means before the figure is used; a valuation has said it before.
func (w *writer) valueTerms() facts {
	v := w.o.Value
	if w.r.Assigned != nil {
		return facts{{name: "Standing", text: notLicensed}}
	}
	return facts{
		{name: "Kind of value", text: say.Capital(kindWords(orElse(v.Kind, "not stated")))},
		{name: "Meaning", text: orElse(told(definition(v)), "Not defined.")},
		{name: "As of", text: isoDayWords(orElse(v.AsOf, w.o.AsOf))},
		{name: "Purpose", text: orElse(w.r.Purpose, "not stated") + after(", by ", w.r.IntendedUser)},
		{name: "Interest valued", text: "full ownership, assumed free of claims; title was not examined"},
		{name: "Standing", text: notLicensed},
	}
}

// definition says what the kind of value means, also for an opinion that does not carry
// it.
func definition(v opinion.Value) say.Statement {
	if v.Definition.IsZero() {
		return market.Basis(v.Kind).Definition()
	}
	return v.Definition
}

func (w *writer) valueRanges() facts {
	v := w.o.Value
	var f facts
	for _, level := range []string{"50", "80", "90"} {
		if i, ok := v.Interval[level]; ok {
			f = append(f, fact{name: level + nbsp + "% range", text: priceRange(i, v.Currency)})
		}
	}
	if r := v.Reconciled; r != nil {
		f = append(f, fact{name: "The comparables alone", text: priceRange(r.Range, v.Currency),
			sub: "median " + priced(r.Median, r.Range, "", "value")})
	}
	f = append(f, fact{name: "Sales used", text: rounded(float64(v.SalesUsed), 0),
		sub: rounded(float64(v.SalesOfReference), 0) + " of this reference"})
	return f
}

// heaviest gives the comparables with the most weight first; the opinion's order
// is not changed.
func heaviest(c []opinion.Comparable) []opinion.Comparable {
	c = append([]opinion.Comparable(nil), c...)
	sort.SliceStable(c, func(i, j int) bool { return c[i].Weight > c[j].Weight })
	return c
}

func (w *writer) saleCite(c opinion.Comparable) string {
	return w.refs.cite(nil, opinion.Basis{Source: "sale", ID: c.Sale})
}

func (w *writer) comparables() []block {
	all := heaviest(w.o.Value.Comparables)
	if len(all) == 0 {
		return []block{para{text: "No comparable sale was found."}}
	}
	out := []block{w.comparablePicture(), w.comparableTable(all)}
	if n := len(all) - listedComparables; n > 0 {
		out = append(out, para{note: true, text: told(say.That("report.more-comparables", say.Count("n", n)))})
	}
	return append(out, w.grid(all)...)
}

// comparablePicture is the value with its ranges and the comparables.
func (w *writer) comparablePicture() figure {
	cs := w.o.Value.Comparables
	return figure{drawing: chart.Prices(w.o.Value, w.dealPrices(), chart.Paper, english),
		cites: func(row int) string { return w.saleCite(cs[row]) },
		note: "A dot is a comparable at its adjusted price: larger with its weight, open where the price was only asked. The tick is the price as sold. " +
			"Bands: 50, 80 and 90" + nbsp + "% ranges; line: median."}
}

// dealPrices are the prices of the deal, on the shop's own copy only.
func (w *writer) dealPrices() []chart.Named {
	if !w.r.ForShop {
		return nil
	}
	return chart.DealPrices(w.o.Deal, english)
}

func (w *writer) comparableTable(all []opinion.Comparable) table {
	t := table{caption: "Comparables, most weight first", columns: []column{{"", 9, left}, {"Sold", 21, left},
		{"Watch", 39, left}, {"Where", 19, left}, {"Price", 18, right}, {"Adjusted", 18, right}, {"Weight", 13, right}}}
	total := 0.0
	for _, c := range all {
		total += max(0, c.Weight)
	}
	for i, c := range all {
		if i == listedComparables {
			break
		}
		where := cell{text: c.Venue, sub: underscored(c.SaleBasis)}
		if c.Venue == "" {
			where = cell{text: underscored(c.SaleBasis)}
		}
		share := "–"
		if total > 0 {
			share = percent(c.Weight / total)
		}
		t.rows = append(t.rows, row{cells: []cell{{text: w.saleCite(c)}, {text: isoDayWords(c.Date)}, {text: c.Title},
			where,
			{text: rounded(c.Price, 0)}, {text: price(c.Adjusted)}, {text: share}}})
	}
	return t
}

// grid is the adjustment grid of the sales comparison approach: one column a
// comparable, one line a feature.
func (w *writer) grid(all []opinion.Comparable) []block {
	var out []block
	n := min(len(all), gridComparables)
	for from := 0; from < n; from += gridBlock {
		g := w.gridBlock(all[from:min(from+gridBlock, n)])
		if from == 0 {
			g.caption = "Adjustments towards this watch, most weight first"
		}
		out = append(out, g)
	}
	return append(out, para{note: true, text: "Amounts in " + orElse(string(w.o.Value.Currency),
		"the currency of the opinion") + ". Each amount moves the comparable towards this watch, in the order shown. " +
		"Gross adjustment is the sum of all amounts without their signs, as a share of the price: the larger it is, the less the comparable weighs."})
}

func (w *writer) gridBlock(cs []opinion.Comparable) table {
	t := table{columns: []column{{"Feature", 27, left}, {"This watch", 25, left}}}
	price, adjusted, gross := row{cells: plain("Price as sold", "")}, row{cells: plain("Adjusted price", ""),
		strong: true}, row{cells: plain("Gross adjustment", "")}
	for _, c := range cs {
		t.columns = append(t.columns, column{w.saleCite(c), 21, right})
		price.cells = append(price.cells, cell{text: rounded(c.Price, 0)})
		adjusted.cells = append(adjusted.cells, cell{text: rounded(c.Adjusted, 0)})
		gross.cells = append(gross.cells, cell{text: rounded(c.GrossPercent, 0) + nbsp + "%"})
	}
	for len(t.columns) < 2+gridBlock { // the blocks of a grid stand in line
		t.columns = append(t.columns, column{width: 21})
	}
	t.rows = append(t.rows, price)
	for _, f := range gridFeatures(cs) {
		r := row{cells: plain(say.Capital(underscored(f.Feature)), level(f.Subject))}
		for _, c := range cs {
			r.cells = append(r.cells, gridCell(c, f.Feature))
		}
		t.rows = append(t.rows, r)
	}
	t.rows = append(t.rows, adjusted, gross)
	return t
}

func gridFeatures(cs []opinion.Comparable) []opinion.Adjustment {
	var out []opinion.Adjustment
	seen := map[string]bool{}
	for _, c := range cs {
		for _, a := range c.Adjustments {
			if !seen[a.Feature] {
				seen[a.Feature] = true
				out = append(out, a)
			}
		}
	}
	return out
}

func gridCell(c opinion.Comparable, feature string) cell {
	for _, a := range c.Adjustments {
		if a.Feature == feature {
			return cell{text: signed(a.Amount, 0), sub: strings.TrimPrefix(level(a.Comparable)+"; "+signed(a.Percent,
				0)+nbsp+"%", "; ")}
		}
	}
	return cell{text: "0"}
}

// level writes a feature's level; one that is a number with many places, to two.
func level(s string) string {
	whole, frac, ok := strings.Cut(s, ".")
	if x, err := strconv.ParseFloat(s, 64); ok && err == nil && len(frac) > 2 && len(whole) < 12 {
		return rounded(x, 2)
	}
	return s
}

func contributions(cs []opinion.Contribution) table {
	t := table{caption: "What moves the price", columns: []column{{"Feature", 46, left}, {"Here", 42, left},
		{"Effect", 18, right}, {"90" + nbsp + "% range", 30, right}}}
	for _, c := range cs {
		t.rows = append(t.rows, row{cells: plain(say.Capital(underscored(c.Feature)), level(c.Level),
			signed(c.Percent, 0)+nbsp+"%", span(c.Interval, 0)+nbsp+"%")})
	}
	return t
}

// deal is printed on the shop's own copy only.
func (w *writer) deal() section {
	d := w.o.Deal
	s := section{id: "deal", title: "What to pay (shop's copy only)", cites: w.refs.cite(nil, d.Basis...)}
	if !d.Known {
		s.finding = cannot(d.CannotTell, "not computed")
		return s
	}
	if d.HighestPrice != nil {
		s.finding = told(say.That("report.pay", say.Money("price", *d.HighestPrice),
			say.Share("margin", d.WantedMargin), say.Share("confidence", d.Confidence)))
	} else if len(d.Says) > 0 { // sold for its owner
		s.finding = told(d.Says[0])
	}
	var f facts
	if d.AskedPrice != nil {
		f = append(f, fact{name: "Asked", text: amount(d.AskedPrice)})
	}
	if d.ChanceOfLoss != nil {
		f = append(f, fact{name: "Chance of loss", text: percent(*d.ChanceOfLoss)})
	}
	if d.ExpectedProfit != nil {
		f = append(f, fact{name: "Expected profit", text: amount(d.ExpectedProfit),
			sub: "90" + nbsp + "% range " + priceRange(d.ProfitInterval, "")})
	}
	if m := d.MonthsToSell; m != nil && m.Told() {
		f = append(f, fact{name: "Months to sell", text: within(m.Value, m.Interval, "", 1)})
	}
	for _, c := range d.Costs {
		f = append(f, fact{name: "Cost, " + c.Name.String(), text: priced(c.Mean, c.Interval, "", "value"),
			sub: priceRange(c.Interval, "")})
	}
	s.blocks = []block{f, says(say.Strings(d.Says))}
	return s
}

// headline is the range that a value is spoken of by, and its level; empty where none is
// known.
func headline(v opinion.Value) (level string, i [2]float64) {
	share, i, ok := chart.Headline(v)
	if !ok || !stated(i) {
		return "", i
	}
	return english.Locale.Percent(share), i
}
