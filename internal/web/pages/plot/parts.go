package plot

import (
	"fmt"
	"strings"

	"midcase/evidence"
	"midcase/opinion"
)

// place is where a slot's number stands on the drawing of the watch, and the point
// on the part that it belongs to.
type place struct{ x, y, onX, onY float64 }

// places of the slots on the drawing, in its own units. It is our own drawing of no
// watch in particular: front on the left, side on the right.
var places = map[evidence.Slot]place{
	evidence.Bracelet:  {28, 60, 88, 60},
	evidence.EndPieces: {28, 108, 92, 112},
	evidence.Bezel:     {28, 156, 62, 172},
	evidence.Dial:      {28, 204, 92, 210},
	evidence.Hands:     {28, 252, 102, 226},
	evidence.Case:      {28, 300, 72, 276},
	evidence.Clasp:     {28, 382, 94, 382},
	evidence.Pushers:   {222, 150, 184, 172},
	evidence.Crown:     {222, 204, 192, 204},
	evidence.Crystal:   {310, 140, 272, 178},
	evidence.Movement:  {310, 204, 262, 204},
	evidence.CaseBack:  {310, 268, 246, 228},
	evidence.Box:       {222, 340, 246, 340},
	evidence.Papers:    {222, 386, 246, 386},
}

// call is one numbered place on the drawing.
type call struct {
	place
	number  int
	slot    evidence.Slot
	verdict string
	class   string
}

// calls numbers the parts as their list does.
func calls(parts []opinion.Part) []call {
	var out []call
	for i, p := range parts {
		if at, ok := places[p.Slot]; ok {
			out = append(out, call{at, i + 1, p.Slot, p.Verdict, strings.ReplaceAll(p.Verdict, " ", "-")})
		}
	}
	return out
}

// hourMarks are the twelve marks of the dial as lines.
func hourMarks() [][4]float64 {
	// sine and cosine of the hours' angles from 12 o'clock
	sin := [12]float64{0, 0.5, 0.866, 1, 0.866, 0.5, 0, -0.5, -0.866, -1, -0.866, -0.5}
	out := make([][4]float64, 12)
	for h := range out {
		s, c := sin[h], sin[(h+3)%12]
		out[h] = [4]float64{124 + 40*s, 204 - 40*c, 124 + 46*s, 204 - 46*c}
	}
	return out
}

// links are the bracelet's rows above and below the head, narrowing to the clasp.
func links() []string {
	var out []string
	for i := range 6 {
		y := 16 + 14*float64(i)
		w := 22 + 1.6*float64(i)
		out = append(out, linkPath(y, w))
	}
	for i := range 5 {
		y := 304 + 14*float64(i)
		w := 31 - 1.4*float64(i)
		out = append(out, linkPath(y, w))
	}
	return out
}

func linkPath(y, halfWidth float64) string {
	return fmt.Sprintf("M%.1f %.1fh%.1fv12h-%.1fz", 124-halfWidth, y, 2*halfWidth, 2*halfWidth)
}
