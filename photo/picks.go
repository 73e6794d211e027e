package photo

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"midcase/typed"
)

// Picks are the places that a person pointed at in an upright picture. The JSON form
// is described in docs/schema/picks.schema.json. Measure, Plots, Overlay and GreyGain
// each use the fields that concern them.
type Picks struct {
	Scale   *ScalePick   `json:"scale,omitempty"`
	Camera  *CameraPick  `json:"camera,omitempty"`
	Lengths []LengthPick `json:"lengths,omitempty"`
	Circles []CirclePick `json:"circles,omitempty"`
	Droop   *DroopPick   `json:"droop,omitempty"`

	DialPicks
	Plots []PlotPick `json:"plots,omitempty"`
	Hands []SpotPick `json:"hands,omitempty"`
	Grey  *GreyPick  `json:"grey,omitempty"`
	// Markers are the hours at which an applied marker stands beside the plot, where
	// the plots do not say it themselves.
	Markers []int `json:"markers,omitempty"`

	// For a picture made ready for a listing: a line that is level or upright, and the
	// square to keep, by its middle and half its side.
	Level  *[2]Point `json:"level,omitempty"`
	Square *SpotPick `json:"square,omitempty"`

	Subject   *DialPicks `json:"subject,omitempty"`   // for Overlay, where the pictures differ in place
	Reference *DialPicks `json:"reference,omitempty"` // for Overlay
}

// ForFigure are the picks that every figure of Measure needs beside its own: scale,
// camera, and, where the scale is two points, the circles that show the tilt.
func (p Picks) ForFigure() Picks {
	out := Picks{Scale: p.Scale, Camera: p.Camera}
	if p.Scale != nil && p.Scale.Kind == "points" {
		out.Circles = append([]CirclePick(nil), p.Circles...)
	}
	return out
}

// ScalePick says what in the picture has a known size.
type ScalePick struct {
	Kind    string  `json:"kind"` // points, square or circle
	A       *Point  `json:"a,omitempty"`
	B       *Point  `json:"b,omitempty"`
	Corners []Point `json:"corners,omitempty"` // four, clockwise from the top left
	Through []Point `json:"through,omitempty"` // three or more
	MM      float64 `json:"mm"`                // length, side or diameter
	PlusMM  float64 `json:"plus_minus_mm,omitempty"`
	// AsPicked keeps two points where they are and looks for no edges near them.
	AsPicked bool `json:"as_picked,omitempty"`
}

// CameraPick is what is known of the camera; it serves parts that stand above the
// plane of the scale.
type CameraPick struct {
	DistanceMM  float64 `json:"distance_mm,omitempty"`  // lens to the plane of the scale
	Focal35MM   float64 `json:"focal_35mm,omitempty"`   // focal length for the 35 mm format, as EXIF has it
	DistancePct float64 `json:"distance_pct,omitempty"` // standard error of the distance; 0 is 10
}

// LengthPick is a straight length between two points.
type LengthPick struct {
	Name         string  `json:"name"`
	A            Point   `json:"a"`
	B            Point   `json:"b"`
	HeightMM     float64 `json:"height_mm,omitempty"` // above the plane of the scale
	HeightPlusMM float64 `json:"height_plus_minus_mm,omitempty"`
	AsPicked     bool    `json:"as_picked,omitempty"` // keep the points; look for no edges
}

// CirclePick is a circle through three or more points near its edge.
type CirclePick struct {
	Name         string  `json:"name"`
	Through      []Point `json:"through"`
	HeightMM     float64 `json:"height_mm,omitempty"`
	HeightPlusMM float64 `json:"height_plus_minus_mm,omitempty"`
	AsPicked     bool    `json:"as_picked,omitempty"`
}

// DroopPick is a bracelet held out flat by the case side.
type DroopPick struct {
	Held    Point     `json:"held"`            // where the free part begins
	FreeEnd Point     `json:"free_end"`        // middle of the last link
	Level   *[2]Point `json:"level,omitempty"` // two points of a level line, or
	Plumb   *[2]Point `json:"plumb,omitempty"` // of a plumb line
	Along   []Point   `json:"along,omitempty"` // points of the bracelet between held and free end, in order
	Links   int       `json:"links,omitempty"`
	// Gaps are the visible gaps between links: two points across each.
	Gaps [][2]Point `json:"gaps,omitempty"`
}

// DialPicks place a dial: points of its edge and the mark at twelve, or at twelve
// and at six.
type DialPicks struct {
	Dial   *DialPick `json:"dial,omitempty"`
	Twelve *Point    `json:"twelve,omitempty"`
	Six    *Point    `json:"six,omitempty"`
}

// DialPick is the edge of the dial.
type DialPick struct {
	Through []Point `json:"through"`
	MM      float64 `json:"mm,omitempty"` // diameter, for areas in mm²
}

// SpotPick is a round spot whose inside has one colour.
type SpotPick struct {
	Name     string  `json:"name,omitempty"`
	At       Point   `json:"at"`
	RadiusPx float64 `json:"radius_px"`
}

// PlotPick is the luminous plot of an hour.
type PlotPick struct {
	Hour     int     `json:"hour"` // 1 to 12
	At       Point   `json:"at"`
	RadiusPx float64 `json:"radius_px"`
	Marker   *bool   `json:"marker,omitempty"` // an applied marker stands beside it
}

// GreyPick is a grey card or patch and its true colour.
type GreyPick struct {
	At       Point   `json:"at"`
	RadiusPx float64 `json:"radius_px"`
	Lab      Lab     `json:"lab"`
}

// PickError names the field of the picks at fault.
type PickError struct {
	Field string // scale.mm, plots[3].at
	Found string
	Want  string
}

// Error says field, what was found and what would be right.
func (e *PickError) Error() string {
	return e.Field + ": " + typed.Refusal(strings.TrimPrefix(e.Found, "found "), e.Want)
}

func pickError(field, want, found string, args ...any) error {
	return &PickError{Field: field, Want: want, Found: fmt.Sprintf(found, args...)}
}

const maxPicks = 1000 // of points in one list

// ReadPicks reads picks from JSON. Unknown fields, fields that stand twice, more than one value, and text that
// is not JSON are errors with line and column.
func ReadPicks(b []byte) (Picks, error) {
	var p Picks
	if err := typed.JSON(b); err != nil {
		return Picks{}, fmt.Errorf("picks: %w", err)
	}
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&p); err != nil {
		return Picks{}, readFault(b, err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return Picks{}, fmt.Errorf("%s: more than one value; give one object", position(b, dec.InputOffset()))
	}
	return p, p.check()
}

func readFault(b []byte, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return fmt.Errorf("%s: not JSON", position(b, syntax.Offset))
	case errors.As(err, &kind):
		return fmt.Errorf("%s: %w", position(b, kind.Offset),
			&PickError{Field: kind.Field, Found: "found a " + kind.Value, Want: "another kind of value"})
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("the picks end before they are complete; give a JSON object")
	}
	return fmt.Errorf("picks: %s", strings.TrimPrefix(err.Error(), "json: "))
}

func position(b []byte, offset int64) string {
	head := string(b[:min(max(offset-1, 0), int64(len(b)))])
	return fmt.Sprintf("%d:%d", 1+strings.Count(head, "\n"), len(head)-strings.LastIndexByte(head, '\n'))
}

// check refuses what no picture could make right.
func (p Picks) check() error {
	for i, l := range p.Lengths {
		if l.Name == "" {
			return &PickError{Field: fmt.Sprintf("lengths[%d].name", i), Want: "a name such as lug width"}
		}
	}
	for i, c := range p.Circles {
		f := fmt.Sprintf("circles[%d]", i)
		if c.Name == "" {
			return &PickError{Field: f + ".name", Want: "a name such as mid-case"}
		}
		if err := checkThrough(f+".through", c.Through); err != nil {
			return err
		}
	}
	if err := p.checkPlots(); err != nil {
		return err
	}
	for i, h := range p.Markers {
		if h < 1 || h > 12 {
			return pickError(fmt.Sprintf("markers[%d]", i), "an hour from 1 to 12", "found %d", h)
		}
	}
	for i, h := range p.Hands {
		if err := checkRadius(fmt.Sprintf("hands[%d]", i), h.RadiusPx); err != nil {
			return err
		}
	}
	if p.Square != nil {
		if err := checkRadius("square", p.Square.RadiusPx); err != nil {
			return err
		}
	}
	if p.Grey != nil {
		if err := checkRadius("grey", p.Grey.RadiusPx); err != nil {
			return err
		}
		if !(p.Grey.Lab[0] > 5 && p.Grey.Lab[0] <= 100) {
			return pickError("grey.lab", "L* of the card between 5 and 100, such as [50,0,0]", "L* is %g",
				p.Grey.Lab[0])
		}
		if p.Grey.Lab.Chroma() > 10 {
			return pickError("grey.lab", "a grey, with a* and b* near 0", "a* is %g and b* %g", p.Grey.Lab[1],
				p.Grey.Lab[2])
		}
	}
	if p.Scale != nil {
		return p.Scale.check()
	}
	return nil
}

func (p Picks) checkPlots() error {
	seen := map[int]bool{}
	for i, q := range p.Plots {
		f := fmt.Sprintf("plots[%d]", i)
		if q.Hour < 1 || q.Hour > 12 {
			return pickError(f+".hour", "an hour from 1 to 12", "found %d", q.Hour)
		}
		if seen[q.Hour] {
			return pickError(f+".hour", "each hour once", "%d stands twice", q.Hour)
		}
		seen[q.Hour] = true
		if err := checkRadius(f, q.RadiusPx); err != nil {
			return err
		}
	}
	return nil
}

func checkRadius(field string, r float64) error {
	if !(r >= 1) || r > 20000 {
		return pickError(field+".radius_px", "a radius of 1 px or more", "found %g", r)
	}
	return nil
}

func checkThrough(field string, ps []Point) error {
	if len(ps) < 3 {
		return pickError(field, "three points or more, well apart", "%s", countOf(len(ps), "point"))
	}
	if len(ps) > maxPicks {
		return pickError(field, fmt.Sprintf("at most %d", maxPicks), "%d points", len(ps))
	}
	if c, err := FitCircleAlgebraic(ps); err != nil || !arcEnough(c, ps) {
		return pickError(field, "points well round the circle", "the points lie on a line or too close together")
	}
	return nil
}

// arcEnough asks that the points bend by more than a hundredth of their spread.
func arcEnough(c Circle, ps []Point) bool {
	spread := 0.0
	for _, p := range ps {
		spread = max(spread, distance(p, ps[0]))
	}
	return spread >= 4 && c.R < 12*spread
}

func (s ScalePick) check() error {
	if !(s.MM > 0) || s.MM > 10000 {
		return pickError("scale.mm", "a length in mm above 0", "found %g", s.MM)
	}
	if s.PlusMM < 0 || s.PlusMM >= s.MM {
		return pickError("scale.plus_minus_mm", "between 0 and the length itself", "found %g", s.PlusMM)
	}
	switch s.Kind {
	case "points":
		if s.A == nil || s.B == nil {
			return &PickError{Field: "scale", Found: "a or b is missing", Want: "two points, a and b"}
		}
		if distance(*s.A, *s.B) < 10 {
			return pickError("scale.b", "10 px or more from a", "it lies %.1f px from a", distance(*s.A, *s.B))
		}
	case "square":
		return checkSquare(s.Corners)
	case "circle":
		return checkThrough("scale.through", s.Through)
	default:
		return pickError("scale.kind", "points, square or circle", "found %q", s.Kind)
	}
	return nil
}

func checkSquare(c []Point) error {
	const field = "scale.corners"
	if len(c) != 4 {
		return pickError(field, "four, clockwise from the top left", "%s", countOf(len(c), "corner"))
	}
	if anyCollinear(c) {
		return pickError(field, "the four corners of the square", "three of them lie on a line")
	}
	for i := range c {
		if c[(i+1)%4].sub(c[i]).cross(c[(i+2)%4].sub(c[(i+1)%4])) < 0 {
			return pickError(field, "them clockwise from the top left", "they cross or run the other way round")
		}
		if distance(c[i], c[(i+1)%4]) < 10 {
			return pickError(field, "sides of 10 px or more", "corners %d and %d lie %.1f px apart", i+1, (i+1)%4+1,
				distance(c[i], c[(i+1)%4]))
		}
	}
	return nil
}

func countOf(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
