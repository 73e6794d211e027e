package chart

import (
	"cmp"
	"math"
	"slices"

	"midcase/opinion"
	"midcase/say"
)

const (
	pricesTop = 20.0
	priceRowH = 20.0
	markH     = 17.0 // a price of the deal below the axis
)

// Named is a price with its name, such as the highest to pay.
type Named struct {
	Name  string
	Price float64
}

// DealPrices are the prices of a deal that are known.
func DealPrices(d opinion.Deal, w say.Writer) []Named {
	var out []Named
	if h := d.HighestPrice; h != nil {
		out = append(out, Named{w.String(say.That("chart.highest-price")), h.Float()})
	}
	if a := d.AskedPrice; a != nil {
		out = append(out, Named{w.String(say.That("chart.asked-price")), a.Float()})
	}
	return out
}

// Prices draws the ranges of a value and in front of them its comparables, those of most
// weight first: a dot at the adjusted price, larger with its weight and open where the
// price was only asked, and a tick at the price as sold. Prices of the deal hang below.
func Prices(v opinion.Value, deal []Named, f Format, w say.Writer) Drawing {
	d := f.drawing(w.String(say.That("chart.prices")))
	order := byWeight(v.Comparables)
	shown := order[:min(len(order), f.Rows)]
	if len(order) == len(shown)+1 {
		shown = order // no row that says “1 more”
	}
	x, ok := priceScale(v, deal, f)
	if !ok {
		return *d
	}
	rows := len(shown)
	if len(order) > rows {
		rows++
	}
	foot := pricesTop + priceRowH*float64(max(rows, 2)) + 4
	d.priceBands(v, x, foot, w)
	heaviest := 0.0
	for _, c := range v.Comparables {
		heaviest = max(heaviest, c.Weight)
	}
	for i, at := range shown {
		y := pricesTop + priceRowH*(float64(i)+0.5) + 2
		d.comparable(v.Comparables[at], v, x, y, heaviest)
		d.Rows = append(d.Rows, Row{at, y})
	}
	if rest := order[len(shown):]; len(rest) > 0 {
		d.others(v, rest, x, pricesTop+priceRowH*(float64(len(shown))+0.5)+2, w)
	}
	ticks, _ := x.ticks(f.Ticks)
	d.alongFoot(x, foot, ticks, func(p float64) string { return w.Locale.Number(p, 0) })
	if f.Left > 0 {
		d.text("", f.Left-toLabel, foot+18, End, string(v.Currency))
	}
	d.named(deal, x, foot, v, w)
	d.Height = foot + axisH + markH*float64(len(deal))
	return *d
}

// byWeight lists the places of the comparables, those of most weight first.
func byWeight(cs []opinion.Comparable) []int {
	order := make([]int, len(cs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(cs[b].Weight, cs[a].Weight) })
	return order
}

func priceScale(v opinion.Value, deal []Named, f Format) (scale, bool) {
	r := unreached()
	for _, c := range v.Comparables {
		r.grow(c.Adjusted)
		if sold(c, v) {
			r.grow(c.Price)
		}
	}
	for _, i := range v.Interval {
		r.grow(i[0], i[1])
	}
	for _, p := range deal {
		r.grow(p.Price)
	}
	if v.Median != nil {
		r.grow(*v.Median)
	}
	if r.low > r.high {
		return scale{}, false
	}
	pad := max((r.high-r.low)*0.04, r.high*0.01, 1)
	return scale{max(0, r.low-pad), r.high + pad, max(f.Left, 8), f.Width - 8}, true
}

// sold reports whether the price of a comparable can stand on the axis: in the currency
// of the value.
func sold(c opinion.Comparable, v opinion.Value) bool {
	return c.Price > 0 && (c.Currency == v.Currency || c.Currency == "")
}

// Headline is the range by which a value is spoken of: that of 80 %, else the widest
// there is. It is false where no range is known.
func Headline(v opinion.Value) (share float64, r [2]float64, ok bool) {
	for _, level := range []struct {
		name  string
		share float64
	}{{"80", 0.8}, {"90", 0.9}, {"50", 0.5}} {
		if r, ok := v.Interval[level.name]; ok && finite(r[0]) && finite(r[1]) && r[1] >= r[0] {
			return level.share, r, true
		}
	}
	return 0, r, false
}

func (d *Drawing) priceBands(v opinion.Value, x scale, foot float64, w say.Writer) {
	for _, level := range []string{"90", "80", "50"} {
		if i, ok := v.Interval[level]; ok {
			d.add(Rect{"band b" + level, Point{x.at(i[0]), pricesTop}, x.at(i[1]) - x.at(i[0]), foot - pricesTop})
		}
	}
	if v.Median == nil {
		return
	}
	d.line("middle", x.at(*v.Median), pricesTop, x.at(*v.Median), foot)
	share, i, ok := Headline(v)
	if !ok {
		return
	}
	worth := say.That("chart.worth", say.Valued("worth", *v.Median, i, v.Currency))
	d.between(w.String(say.That("chart.range", say.Share("share", share), say.Saying("range", worth))), x.at(i[0]),
		x.at(i[1]))
}

// comparable draws one sale in its row.
func (d *Drawing) comparable(c opinion.Comparable, v opinion.Value, x scale, y, heaviest float64) {
	if d.Format.Left > 0 {
		d.rowLabel("", c.Title+", "+c.Date, y-priceRowH/2, priceRowH)
	}
	if !(c.Adjusted > 0) {
		return
	}
	at := x.at(c.Adjusted)
	if sold(c, v) {
		price := x.at(c.Price)
		d.line("hair", price, y, at, y)
		d.line("sold", price, y-4, price, y+4)
	}
	style := "dot"
	if c.SaleBasis == "asking" {
		style = "dot asked"
	}
	r := 3 + 3.5*math.Sqrt(max(0, c.Weight)/max(heaviest, 1e-9))
	d.add(Circle{style, Point{at, y}, r, c.Title + ", " + c.Date})
}

// others draws the comparables without a row of their own as ticks in one row.
func (d *Drawing) others(v opinion.Value, rest []int, x scale, y float64, w say.Writer) {
	if d.Format.Left > 0 {
		d.rowLabel("", w.String(say.That("chart.more", say.Count("n", len(rest)))), y-priceRowH/2, priceRowH)
	}
	for _, at := range rest {
		if a := v.Comparables[at].Adjusted; a > 0 {
			d.line("sold", x.at(a), y-5, x.at(a), y+5)
		}
	}
}

// named hangs the prices of the deal below the axis, the dearest first, so that no line
// crosses a label.
func (d *Drawing) named(deal []Named, x scale, foot float64, v opinion.Value, w say.Writer) {
	deal = slices.SortedFunc(slices.Values(deal), func(a, b Named) int { return cmp.Compare(b.Price, a.Price) })
	for i, p := range deal {
		at, y := x.at(p.Price), foot+axisH+12+markH*float64(i)
		d.line("mark", at, pricesTop, at, y)
		anchor, beside := Start, at+7
		if at > d.Width*0.6 {
			anchor, beside = End, at-7
		}
		d.text("strong", beside, y, anchor, p.Name+" "+w.String(say.That("chart.price",
			say.Amount("price", p.Price, v.Currency))))
	}
}
