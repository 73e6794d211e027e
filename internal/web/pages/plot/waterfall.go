package plot

import (
	"fmt"
	"math"
	"strings"

	"midcase/opinion"
)

// The waterfall leads from the typical sale to this watch, one step a feature.
const (
	stepHeight   = 26.0
	waterfallTop = 18.0
)

type waterfall struct {
	narrow        bool
	width, height float64
	label         string
	left, right   float64
	foot          float64
	steps         []fallStep
}

type fallStep struct {
	y, x, w   float64
	up, total bool
	text      string // the feature and this watch's level
	adds      string
	addsX     float64
	textY     float64
}

// newWaterfall multiplies from the baseline to the median. Steps too small to see are
// drawn together as one, so that the last bar still meets the median.
func newWaterfall(v opinion.Value, narrow bool) waterfall {
	c := waterfall{narrow: narrow, width: 720, left: 250, right: 700,
		label: "How the price comes together, from the typical sale to this watch"}
	if narrow {
		c.width, c.left, c.right = 340, 150, 330
	}
	type step struct {
		text string
		from float64
		to   float64
	}
	running, rest := v.Baseline, 1.0
	low, high := running, running
	var steps []step
	for _, k := range v.Contributions {
		factor := 1 + k.Percent/100
		if math.Abs(k.Percent) < 1 {
			rest *= factor
			continue
		}
		text := strings.ReplaceAll(k.Feature, "_", " ")
		if k.Level != "" {
			text += ": " + k.Level
		}
		steps = append(steps, step{text, running, running * factor})
		running *= factor
		low, high = math.Min(low, running), math.Max(high, running)
	}
	if math.Abs(rest-1) > 1e-9 {
		steps = append(steps, step{"all else", running, running * rest})
		running *= rest
	}
	low, high = math.Min(low, running), math.Max(high, running)
	// Equal ratios are equal lengths: the model adds up in log price.
	x := scale{math.Log(low) - 0.05, math.Log(high) + 0.12, c.left, c.right}
	y := waterfallTop
	add := func(s fallStep) {
		s.y, s.textY, s.addsX = y, y+stepHeight/2+3, math.Min(s.x+s.w+4, c.right-4)
		c.steps = append(c.steps, s)
		y += stepHeight
	}
	add(fallStep{x: c.left, w: x.at(math.Log(v.Baseline)) - c.left, total: true, text: "the typical sale",
		adds: priceText(v.Baseline)})
	for _, s := range steps {
		a, b := x.at(math.Log(s.from)), x.at(math.Log(s.to))
		add(fallStep{x: math.Min(a, b), w: math.Max(1, math.Abs(b-a)), up: b > a, text: shorten(s.text, c.room()),
			adds: fmt.Sprintf("%+.0f %%", 100*(s.to/s.from-1))})
	}
	add(fallStep{x: c.left, w: x.at(math.Log(running)) - c.left, total: true, text: "this watch",
		adds: priceText(running)})
	c.foot = y + 4
	c.height = c.foot + 6
	return c
}

// room is how many letters of a label fit.
func (c waterfall) room() int {
	if c.narrow {
		return 22
	}
	return 38
}

// barClass tells a step up from a step down; the figure beside it says the same.
func (s fallStep) barClass() string {
	switch {
	case s.total:
		return "fall whole"
	case s.up:
		return "fall up"
	}
	return "fall down"
}

// priceText is a price to three figures with thousands separated.
func priceText(v float64) string {
	unit := math.Pow(10, math.Max(0, math.Floor(math.Log10(v))-2))
	digits := fmt.Sprintf("%.0f", math.Round(v/unit)*unit)
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + "," + digits[i:]
	}
	return digits
}
