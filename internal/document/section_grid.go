package document

import (
	"strconv"
	"strings"

	"midcase/internal/chart"
	"midcase/opinion"
	"midcase/say"
)

// grid is the adjustment grid of the sales comparison approach: one column a
// comparable, one line a feature.
func (w *writer) grid(all []opinion.Comparable) []block {
	var out []block
	n := min(len(all), gridComparables)
	for from := 0; from < n; from += gridBlock {
		g := w.gridBlock(all[from:min(from+gridBlock, n)])
		if from == 0 {
			g.caption = w.String(say.That("report.adjustments"))
		}
		out = append(out, g)
	}
	note := say.That("report.grid-note-unnamed")
	if c := w.o.Value.Currency; c != "" {
		note = say.That("report.grid-note", say.Name("currency", string(c)))
	}
	return append(out, para{note: true, text: w.String(note)})
}

func (w *writer) gridBlock(cs []opinion.Comparable) table {
	t := table{columns: []column{{w.String(say.That("report.feature-column")), 27, left},
		{w.String(say.That("report.this-watch-column")), 25, left}}}
	price := row{cells: plain(w.String(say.That("report.price-as-sold")), "")}
	adjusted := row{cells: plain(w.String(say.That("report.adjusted-price")), ""), strong: true}
	gross := row{cells: plain(w.String(say.That("report.gross-adjustment")), "")}
	for _, c := range cs {
		t.columns = append(t.columns, column{w.saleCite(c), 21, right})
		price.cells = append(price.cells, cell{text: w.rounded(c.Price, 0)})
		adjusted.cells = append(adjusted.cells, cell{text: w.rounded(c.Adjusted, 0)})
		gross.cells = append(gross.cells, cell{text: w.perCent(w.rounded(c.GrossPercent, 0))})
	}
	for len(t.columns) < 2+gridBlock { // the blocks of a grid stand in line
		t.columns = append(t.columns, column{width: 21})
	}
	t.rows = append(t.rows, price)
	for _, f := range gridFeatures(cs) {
		r := row{cells: plain(w.feature(f.Feature), w.level(f.Feature, f.Subject))}
		for _, c := range cs {
			r.cells = append(r.cells, w.gridCell(c, f.Feature))
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

func (t tongue) gridCell(c opinion.Comparable, feature string) cell {
	for _, a := range c.Adjustments {
		if a.Feature == feature {
			return cell{text: t.signed(a.Amount, 0), sub: t.joined(t.level(feature, a.Comparable),
				t.perCent(t.signed(a.Percent, 0)))}
		}
	}
	return cell{text: "0"}
}

// perCent puts the sign to a figure, as the language has it.
func (t tongue) perCent(figure string) string { return figure + t.Locale.PercentSign() }

// feature is something that moves a price, at the head of a line.
func (t tongue) feature(f string) string {
	return say.Capital(t.Value(say.Noun{Set: "feature", ID: f, English: underscored(f)}, ""))
}

// level writes a feature's level: a number with many places to two, a word of the trade in the reader's words, and what
// somebody typed as it is.
func (t tongue) level(feature, s string) string {
	whole, frac, ok := strings.Cut(s, ".")
	x, err := strconv.ParseFloat(s, 64)
	switch {
	case ok && err == nil && len(whole) < 12:
		return t.rounded(x, min(len(frac), 2))
	case err == nil || s == "":
		return s
	}
	if feature == "reference" && t.language() != "" {
		return t.nodeTitle(s)
	}
	for _, set := range []string{"level", levelSets[feature]} {
		if word := t.Value(say.Noun{Set: set, ID: s, English: s}, ""); word != s {
			return word
		}
	}
	return s
}

// nodeTitle says again what the market calls a reference of which it knows only a part: the title comes in English.
func (t tongue) nodeTitle(title string) string {
	const gap = "\x00"
	for _, known := range []func(name string) say.Statement{
		func(n string) say.Statement { return say.That("market.unknown-reference", say.Name("name", n)) },
		func(n string) say.Statement { return say.That("market.usual-variant", say.Name("reference", n)) },
	} {
		if name, ok := strings.CutSuffix(title, strings.TrimPrefix(known(gap).String(), gap)); ok {
			return t.String(known(name))
		}
	}
	if title == say.That("market.unknown-maker").String() {
		return t.String(say.That("market.unknown-maker"))
	}
	before, metal, ok := strings.Cut(title, " dial, ")
	if i := strings.LastIndex(before, ", "); ok && i > 0 {
		return t.String(say.That("market.variant", say.Name("reference", before[:i]),
			say.Name("dial", t.level("", before[i+2:])), say.Name("metal", t.level("metal", metal))))
	}
	return title
}

// levelSets are the words of the trade for the levels of a feature.
var levelSets = map[string]string{"metal": "metal", "completeness": "completeness", "venue and basis": "channel"}

func (t tongue) contributions(cs []opinion.Contribution) table {
	tab := table{caption: t.String(say.That("report.what-moves-price")), columns: []column{
		{t.String(say.That("report.feature-column")), 46, left}, {t.String(say.That("report.here-column")), 42, left},
		{t.String(say.That("report.effect-column")), 18, right},
		{t.String(say.That("report.range", say.Share("level", 0.9))), 30, right}}}
	for _, c := range cs {
		tab.rows = append(tab.rows, row{cells: plain(t.feature(c.Feature), t.level(c.Feature, c.Level),
			t.perCent(t.signed(c.Percent, 0)), t.perCent(t.span(c.Interval, 0)))})
	}
	return tab
}

// deal is printed on the shop's own copy only.
func (w *writer) deal() section {
	d := w.o.Deal
	s := section{id: "deal", title: w.String(say.That("report.what-to-pay")), cites: w.refs.cite(nil, d.Basis...)}
	if !d.Known {
		s.finding = w.cannot(d.CannotTell, say.That("report.not-computed"))
		return s
	}
	if d.HighestPrice != nil {
		s.finding = w.told(say.That("report.pay", say.Money("price", *d.HighestPrice),
			say.Share("margin", d.WantedMargin), say.Share("confidence", d.Confidence)))
	} else if len(d.Says) > 0 { // sold for its owner
		s.finding = w.told(d.Says[0])
	}
	var f facts
	if d.AskedPrice != nil {
		f = append(f, fact{name: w.String(say.That("report.asked")), text: w.amount(d.AskedPrice)})
	}
	if d.ChanceOfLoss != nil {
		f = append(f, fact{name: w.String(say.That("report.chance-of-loss")), text: w.percent(*d.ChanceOfLoss)})
	}
	if d.ExpectedProfit != nil {
		f = append(f, fact{name: w.String(say.That("report.expected-profit")), text: w.amount(d.ExpectedProfit),
			sub: w.String(say.That("report.profit-range", say.Name("range", w.priceRange(d.ProfitInterval, ""))))})
	}
	if m := d.MonthsToSell; m != nil && m.Told() {
		f = append(f, fact{name: w.String(say.That("report.months-to-sell")), text: w.within(m.Value,
			m.Interval, "", 1)})
	}
	for _, c := range d.Costs {
		f = append(f, fact{name: w.String(say.That("report.cost", say.Saying("name", c.Name))),
			text: w.priced(c.Mean, c.Interval, "", "value"), sub: w.priceRange(c.Interval, "")})
	}
	s.blocks = []block{f, w.bullets(d.Says)}
	return s
}

// headline is the range that a value is spoken of by, and its share; false where none is
// known.
func headline(v opinion.Value) (share float64, i [2]float64, ok bool) {
	share, i, ok = chart.Headline(v)
	return share, i, ok && stated(i)
}
