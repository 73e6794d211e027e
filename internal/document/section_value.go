package document

import (
	"sort"
	"strconv"

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

func (w *writer) value() section {
	v := w.o.Value
	s := section{id: "value", title: w.String(say.That("report.what-worth")), cites: w.refs.cite(nil, v.Basis...)}
	if !v.Known {
		s.finding = w.cannot(v.CannotTell, say.That("report.not-valued"))
	} else {
		s.finding = w.valueFinding()
	}
	s.blocks = append(s.blocks, w.valueTerms())
	if v.Known {
		s.blocks = append(s.blocks, w.valueRanges())
	}
	if len(v.Says) > 0 {
		s.blocks = append(s.blocks, w.bullets(v.Says))
	}
	if v.Known || len(v.Comparables) > 0 {
		s.blocks = append(s.blocks, w.comparables()...)
	}
	if len(v.Contributions) > 0 {
		s.blocks = append(s.blocks, w.contributions(v.Contributions))
	}
	return s
}

// cannot says that something cannot be told, and why.
func (t tongue) cannot(why, otherwise say.Statement) string {
	if why.IsZero() {
		why = otherwise
	}
	return t.told(say.That("report.cannot-tell", say.Saying("why", why)))
}

// bullets are statements as a list of sentences.
func (t tongue) bullets(says []say.Statement) bullets {
	var b bullets
	for _, t := range t.all(says) {
		if t != "" {
			b = append(b, cited{text: t})
		}
	}
	return b
}

func (w *writer) valueFinding() string {
	v := w.o.Value
	share, i, ok := headline(v)
	if !ok {
		return w.String(say.That("report.value-without-range"))
	}
	kind := orElse(v.Kind, "unnamed kind of")
	if v.Median == nil {
		return w.String(say.That("report.worth-range", say.Valued("value", (i[0]+i[1])/2, i, v.Currency),
			say.Share("level", share), kindOfValue("kind", kind), say.Day("day", v.AsOf)))
	}
	return w.String(say.That("report.worth", say.Valued("value", *v.Median, i, v.Currency),
		say.Share("level", share), kindOfValue("kind", kind), say.Day("day", v.AsOf)))
}

// valueTerms says what a figure of value means before the figure is used; a valuation has said it before.
func (w *writer) valueTerms() facts {
	v := w.o.Value
	standing := fact{name: w.String(say.That("report.standing-label")), text: w.String(say.That("report.not-licensed"))}
	if w.r.Assigned != nil {
		return facts{standing}
	}
	const onFront = "front" // on the first page too
	kind := w.notStated()
	if v.Kind != "" {
		kind = w.Value(kindOfValue("", v.Kind).Value, "")
	}
	purpose := orElse(w.purpose(), w.notStated())
	if w.r.IntendedUser != "" {
		purpose = w.String(say.That("report.purpose-by", say.Name("purpose", purpose), say.Name("by",
			w.r.IntendedUser)))
	}
	return facts{
		{name: w.String(say.That("report.kind-of-value")), text: say.Capital(kind)},
		{name: w.String(say.That("report.meaning")), text: orElse(w.told(definition(v)),
			w.String(say.That("report.not-defined")))},
		{id: onFront, name: w.String(say.That("report.as-of")), text: w.isoDayWords(orElse(v.AsOf, w.o.AsOf))},
		{id: onFront, name: w.String(say.That("report.purpose")), text: purpose},
		{name: w.String(say.That("report.interest-valued")), text: w.String(say.That("report.full-ownership"))},
		standing,
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
	for _, level := range []int{50, 80, 90} {
		if i, ok := v.Interval[strconv.Itoa(level)]; ok {
			f = append(f, fact{name: w.String(say.That("report.range", say.Share("level", float64(level)/100))),
				text: w.priceRange(i, v.Currency)})
		}
	}
	if r := v.Reconciled; r != nil {
		f = append(f, fact{name: w.String(say.That("report.comparables-alone")), text: w.priceRange(r.Range,
			v.Currency),
			sub: w.String(say.That("report.median", say.Valued("median", r.Median, r.Range, "")))})
	}
	return append(f, fact{name: w.String(say.That("report.sales-used")), text: w.rounded(float64(v.SalesUsed), 0),
		sub: w.String(say.That("report.of-this-reference", say.Count("n", v.SalesOfReference)))})
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
		return []block{para{text: w.String(say.That("report.no-comparable"))}}
	}
	out := []block{w.comparablePicture(), w.comparableTable(all)}
	if n := len(all) - listedComparables; n > 0 {
		out = append(out, para{note: true, text: w.told(say.That("report.more-comparables", say.Count("n", n)))})
	}
	return append(out, w.grid(all)...)
}

// comparablePicture is the value with its ranges and the comparables.
func (w *writer) comparablePicture() figure {
	cs := w.o.Value.Comparables
	return figure{drawing: chart.Prices(w.o.Value, w.dealPrices(), chart.Paper, w.Writer),
		cites: func(row int) string { return w.saleCite(cs[row]) },
		note:  w.String(say.That("report.prices-chart"))}
}

// dealPrices are the prices of the deal, on the shop's own copy only.
func (w *writer) dealPrices() []chart.Named {
	if !w.r.ForShop {
		return nil
	}
	return chart.DealPrices(w.o.Deal, w.Writer)
}

func (w *writer) comparableTable(all []opinion.Comparable) table {
	t := table{caption: w.String(say.That("report.comparables")), columns: []column{{"", 9, left},
		{w.String(say.That("report.sold-column")), 21, left}, {w.String(say.That("report.watch-column")), 39, left},
		{w.String(say.That("report.where-column")), 19, left}, {w.String(say.That("report.price-column")), 18, right},
		{w.String(say.That("report.adjusted-column")), 18, right},
		{w.String(say.That("report.weighs-column")), 13, right}}}
	total := 0.0
	for _, c := range all {
		total += max(0, c.Weight)
	}
	for i, c := range all {
		if i == listedComparables {
			break
		}
		basis := w.Value(say.Noun{Set: "sale_basis", ID: c.SaleBasis, English: underscored(c.SaleBasis)}, "")
		where := cell{text: w.venue(c.Venue), sub: basis}
		if c.Venue == "" {
			where = cell{text: basis}
		}
		share := "–"
		if total > 0 {
			share = w.percent(c.Weight / total)
		}
		t.rows = append(t.rows, row{cells: []cell{{text: w.saleCite(c)}, {text: w.Locale.Day(c.Date)}, {text: c.Title},
			where, {text: w.rounded(c.Price, 0)}, {text: w.price(c.Adjusted)}, {text: share}}})
	}
	return t
}

// venue is where a sale was made: a kind of place as a word of the trade, or a name as it was typed.
func (t tongue) venue(v string) string {
	if v == "" {
		return ""
	}
	return t.Value(say.Noun{Set: "venue", ID: v, English: v}, "")
}
