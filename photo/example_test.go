package photo_test

import (
	"fmt"

	"midcase/internal/demo/draw"
	"midcase/photo"
)

// A dial with one plot of another colour, twelve and the edge picked.
func ExamplePlots() {
	w := draw.Watch{Kind: "diver", Seed: 1}
	for i := range w.Plots {
		w.Plots[i].Lab = draw.Lab{75, 4, 25}
	}
	w.Plots[7].Lab = draw.Lab{80, 2, 18}
	shot := draw.Shot{WidthPx: 600}
	truth := draw.TruthOfDial(w, shot)
	twelve := photo.Point(truth.Twelve)
	r, radius := truth.Dial, truth.Dial.A
	picks := photo.Picks{DialPicks: photo.DialPicks{Twelve: &twelve, Dial: &photo.DialPick{
		Through: []photo.Point{{r.X + radius, r.Y}, {r.X, r.Y + radius}, {r.X - radius, r.Y}, {r.X, r.Y - radius}}}}}
	report, err := photo.Plots(draw.Dial(w, shot), picks)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(report.Plots), "plots:", report.Pattern)
	for _, p := range report.Plots {
		if p.OddP < 0.05 {
			fmt.Println("look at the plot at", p.Hour)
		}
	}
	// Output:
	// 12 plots: one plot unlike the others
	// look at the plot at 7
}

func ExampleCIEDE2000() {
	// Sharma, Wu and Dalal (2005), pair 1
	fmt.Printf("%.4f\n", photo.CIEDE2000(photo.Lab{50, 2.6772, -79.7751}, photo.Lab{50, 0, -82.7485}))
	// Output: 2.0425
}
