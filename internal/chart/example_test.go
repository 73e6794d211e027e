package chart_test

import (
	"fmt"

	"midcase/edtf"
	"midcase/internal/chart"
	"midcase/opinion"
	"midcase/say"
)

type figures struct{}

func (figures) Number(v float64, decimals int) string { return fmt.Sprintf("%.*f", decimals, v) }
func (figures) Day(iso string) string                 { return iso }

func Example() {
	may := edtf.MonthOf(1968, 5)
	d := opinion.Dating{Known: true, Median: may, Interval90: [2]edtf.Month{may - 2, may + 2}}
	drawing := chart.Dates(d, chart.Narrow, say.Writer{Catalogue: say.InEnglish(), Figures: figures{}})
	fmt.Println(drawing.Label)
	fmt.Printf("%.0f × %.0f, %d marks\n", drawing.Width, drawing.Height, len(drawing.Marks))
	// Output:
	// Chance of each month, March–July 1968; the table below has the figures
	// 360 × 134, 12 marks
}
