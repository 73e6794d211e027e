package draw_test

import (
	"fmt"

	"midcase/internal/demo/draw"
)

func ExampleFront() {
	watch := draw.Watch{Kind: "diver", MidCaseMM: 39, LugWidthMM: 20, Seed: 1}
	shot := draw.Shot{WidthPx: 400, MMPerPx: 0.12}
	picture := draw.Front(watch, shot)
	truth := draw.TruthOf(watch, shot)
	fmt.Println(picture.Bounds().Dx(), "px wide")
	fmt.Printf("the mid-case spans %.1f px, which is %.1f mm\n", 2*truth.MidCase.A, 2*truth.MidCase.A*truth.MMPerPx)
	// Output:
	// 400 px wide
	// the mid-case spans 325.0 px, which is 39.0 mm
}
