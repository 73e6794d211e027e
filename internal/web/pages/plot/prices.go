package plot

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"midcase/internal/web/pages/wording"
	"midcase/opinion"
)

// prices shows the value's ranges, the comparables at their adjusted prices in front
// of them, and the prices of the deal as ticks below.
type prices struct {
	narrow        bool
	width, height float64
	left, right   float64
	foot          float64
	bands         []priceBand
	medianX       float64
	dots          []priceDot
	marks         []priceMark
	ticks         []tick
	label         string
}

type priceBand struct {
	class string
	x, w  float64
}

type priceDot struct {
	x, y, r float64
	sale    string
	title   string
}

type priceMark struct {
	x, y, textX float64
	text        string
	anchor      string
}

const bandTop, bandFoot = 8.0, 60.0

func newPrices(ctx context.Context, o opinion.Opinion, narrow bool) prices {
	v := o.Value
	c := prices{narrow: narrow, width: 760, left: 8,
		label: "Value with its ranges and comparables at their adjusted prices"}
	if narrow {
		c.width = 360
	}
	c.right = c.width - 8
	low, high := v.Interval["90"][0], v.Interval["90"][1]
	for _, k := range v.Comparables {
		low, high = min(low, k.Adjusted), max(high, k.Adjusted)
	}
	known := dealPrices(o)
	for _, m := range known {
		low, high = min(low, m.price), max(high, m.price)
	}
	pad := max((high-low)*0.04, 1)
	x := scale{max(0, low-pad), high + pad, c.left, c.right}
	for _, level := range []string{"90", "80", "50"} {
		if i, ok := v.Interval[level]; ok {
			c.bands = append(c.bands, priceBand{"band b" + level, x.at(i[0]), x.at(i[1]) - x.at(i[0])})
		}
	}
	c.medianX = x.at(*v.Median)
	heaviest := 0.0
	for _, k := range v.Comparables {
		heaviest = max(heaviest, k.Weight)
	}
	for i, k := range v.Comparables {
		c.dots = append(c.dots, priceDot{x.at(k.Adjusted), 18 + float64(i%3)*16,
			3 + 3.5*math.Sqrt(k.Weight/max(heaviest, 1e-9)), k.Sale, fmt.Sprintf("%s, %s", k.Title, k.Date)})
	}
	c.foot = bandFoot + 8
	for i, m := range known {
		mark := priceMark{x: x.at(m.price), y: c.foot + 38 + float64(i)*17,
			text: m.name + " " + wording.Amount(ctx, m.price), anchor: "start"}
		mark.textX = mark.x + 7
		if mark.x > c.width*0.6 {
			mark.anchor, mark.textX = "end", mark.x-7
		}
		c.marks = append(c.marks, mark)
	}
	c.height = c.foot + 26 + float64(len(known))*17
	n := 8.0
	if narrow {
		n = 4
	}
	c.ticks = x.ticks(n, func(p float64) string { return wording.Fixed(ctx, p, 0) })
	return c
}

type dealPrice struct {
	name  string
	price float64
}

// dealPrices are the prices of the deal that are known.
func dealPrices(o opinion.Opinion) []dealPrice {
	var out []dealPrice
	if h := o.Deal.HighestPrice; h != nil {
		out = append(out, dealPrice{"pay at most", h.Float()})
	}
	if a := o.Deal.AskedPrice; a != nil {
		out = append(out, dealPrice{"asked", a.Float()})
	}
	// The dearest first, so that no line crosses a label.
	slices.SortFunc(out, func(a, b dealPrice) int { return cmp.Compare(b.price, a.price) })
	return out
}
