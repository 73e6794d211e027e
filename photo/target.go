package photo

import "fmt"

// Target is the printed square that gives scale and squareness: a frame whose outer
// corners are the corners to pick, ticks every 5 mm outside, grey patches below and a
// ruler to check the print by. All in mm from the middle of the square, y down.
type Target struct {
	SideMM   float64
	FrameMM  float64 // width of the frame, inside the square
	CornerMM float64 // side of the corner squares, inside the square
	Ticks    []Tick
	Patches  []TargetPatch
	Ruler    Tick // to be measured after printing
}

// Tick is a line.
type Tick struct{ From, To Point }

// TargetPatch is a grey square.
type TargetPatch struct {
	Middle Point
	HalfMM float64
	L      float64 // L* aimed at; a printer meets it only roughly
}

// Sides of targets that fit on A4 with their surroundings.
const (
	LeastTargetMM = 30.0
	MostTargetMM  = 150.0
)

// NewTarget lays out a target with a side in mm.
func NewTarget(sideMM float64) (Target, error) {
	if !(sideMM >= LeastTargetMM && sideMM <= MostTargetMM) {
		return Target{}, fmt.Errorf("a side of %g mm: want %g to %g mm, which fits on A4", sideMM, LeastTargetMM,
			MostTargetMM)
	}
	h := sideMM / 2
	t := Target{SideMM: sideMM, FrameMM: 0.016 * sideMM, CornerMM: 0.064 * sideMM}
	for k := 1; float64(k)*5 < sideMM-1; k++ {
		long := 0.9
		if k%2 == 0 {
			long = 1.7
		}
		v := 5*float64(k) - h
		t.Ticks = append(t.Ticks,
			Tick{Point{v, -h}, Point{v, -h - long}}, Tick{Point{v, h}, Point{v, h + long}},
			Tick{Point{-h, v}, Point{-h - long, v}}, Tick{Point{h, v}, Point{h + long, v}})
	}
	for i, l := range []float64{25, 38, 50, 63, 76, 89} {
		x := -h + sideMM*(0.045+0.09*float64(i))
		if i >= 3 { // apart, so that a bracelet laid across covers none
			x = h - sideMM*(0.045+0.09*float64(5-i))
		}
		t.Patches = append(t.Patches, TargetPatch{Middle: Point{x, h + sideMM*0.066}, HalfMM: sideMM * 0.032, L: l})
	}
	y := h + 0.14*sideMM + 14
	t.Ruler = Tick{Point{-50, y}, Point{50, y}}
	return t, nil
}
