package chart_test

import (
	"fmt"

	"midcase/edtf"
	"midcase/internal/chart"
	"midcase/opinion"
	"midcase/say"
)

func Example() {
	may := edtf.MonthOf(1968, 5)
	d := opinion.Dating{Known: true, Median: may, Interval90: [2]edtf.Month{may - 2, may + 2}}
	drawing := chart.Dates(d, chart.Narrow, say.Writer{Catalogue: say.InEnglish(), Locale: say.Plain})
	fmt.Println(drawing.Label)
	fmt.Printf("%.0f × %.0f, %d marks\n", drawing.Width, drawing.Height, len(drawing.Marks))
	// Output:
	// Chance of each month, March–July 1968; the table below has the figures
	// 360 × 134, 10 marks
}
