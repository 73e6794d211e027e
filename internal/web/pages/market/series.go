package market

import (
	"context"
	"fmt"
	"strconv"

	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/wording"
	assets "midcase/web"
)

// Series is one curve by quarter, in words too.
type Series struct {
	plot.Series
	Sales   []int  // of each quarter
	Problem string // why there is no curve
}

// Add adds a quarter.
func (s *Series) Add(quarter string, value float64, interval [2]float64, sales int) {
	s.Points = append(s.Points, plot.Point{Quarter: quarter, Value: value, Low: interval[0], High: interval[1]})
	s.Sales = append(s.Sales, sales)
}

// Says is what the curve comes to in its last quarter.
func (s Series) Says(ctx context.Context) string {
	if len(s.Points) == 0 {
		return ""
	}
	p := s.Points[len(s.Points)-1]
	unit := s.sign()
	return fmt.Sprintf(
		"%s%s in %s (90 %% range %s–%s%s).",
		figure(ctx, p.Value),
		unit,
		p.Quarter,
		figure(ctx, p.Low),
		figure(ctx, p.High),
		unit,
	)
}

// reading is one quarter in words, with the figures of the table.
func (s Series) reading(ctx context.Context, i int) string {
	p, unit := s.Points[i], s.sign()
	sales := wording.Count(ctx, s.Sales[i]) + "\u00a0sales"
	if s.Sales[i] == 1 {
		sales = "1\u00a0sale"
	}
	return fmt.Sprintf(
		"%s: %s%s; 90\u00a0%% range %s%s; %s",
		p.Quarter,
		value(ctx, p.Value),
		unit,
		span(ctx, p),
		unit,
		sales,
	)
}

func (s Series) sign() string {
	if s.Unit == "per cent" {
		return "\u00a0%"
	}
	return ""
}

func figure(ctx context.Context, v float64) string { return wording.Fixed(ctx, v, 0) }

func value(ctx context.Context, v float64) string { return wording.Fixed(ctx, v, 1) }

// span is the range of a quarter; a dash would be lost beside a minus.
func span(ctx context.Context, p plot.Point) string {
	if p.Low < 0 {
		return value(ctx, p.Low) + " to " + value(ctx, p.High)
	}
	return value(ctx, p.Low) + "–" + value(ctx, p.High)
}

func last(s Series) string { return fmt.Sprint(len(s.Points) - 1) }

// exact writes a number for the island to read.
func exact(v float64) string { return strconv.FormatFloat(v, 'f', 4, 64) }

func asset(name string) string { return "/assets/" + name + "?v=" + assets.Version() }

// island is the script that reads the curves, where it was built; the page works without.
func island() (string, bool) { return asset("market.js"), assets.Built("market.js") }

// curved reports whether there is a curve to read.
func curved(d Data) bool {
	return max(len(d.Index.Points), len(d.Premium.Points), len(d.Between.Points)) > 1
}
