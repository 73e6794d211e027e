package market

import (
	"fmt"

	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/wording"
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
func (s Series) Says() string {
	if len(s.Points) == 0 {
		return ""
	}
	p := s.Points[len(s.Points)-1]
	unit := ""
	if s.Unit == "per cent" {
		unit = "\u00a0%"
	}
	return fmt.Sprintf("%s%s in %s; nine chances in ten that it lies between %s and %s%s.", figure(p.Value), unit, p.Quarter, figure(p.Low), figure(p.High), unit)
}

func figure(v float64) string { return wording.Number(&v, 0) }
