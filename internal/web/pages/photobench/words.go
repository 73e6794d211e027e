package photobench

import (
	"fmt"
	"image/color"
	"math"
	"net/url"
	"slices"
	"strings"

	"github.com/a-h/templ"

	"midcase/evidence"
	"midcase/photo"
	assets "midcase/web"

	fields "midcase/internal/web/form"
	"midcase/say"
)

func asset(name string) string { return "/assets/" + name + "?v=" + assets.Version() }

// island is the script that shows and picks, where it was built; the page works
// without.
func island() (string, bool) { return asset("photobench.js"), assets.Built("photobench.js") }

func back(id string) string { return "/watches/" + url.PathEscape(id) }

// Path is the address of the bench on a picture.
func Path(watch, blob string) string {
	return back(watch) + "/photos/" + url.PathEscape(blob) + "/bench"
}

// LetteringPath is the address of the lettering in a picture.
func LetteringPath(watch, blob string) string {
	return back(watch) + "/photos/" + url.PathEscape(blob) + "/lettering"
}

func (d Data) path() string { return Path(string(d.Watch.ID), d.Blob) }

// sharedFields are carried from one mode to the next, since they are of the picture.
var sharedFields = []string{"scale", "scale_at", "scale_mm", "scale_plus", "camera_mm", "edge", "twelve", "six",
	"dial_mm", "grey", "grey_l"}

// modePath leads to another mode with what belongs to the picture kept.
func (d Data) modePath(mode string) string {
	q := url.Values{"do": {mode}}
	for _, name := range sharedFields {
		if v := d.Form.Values.Get(name); v != "" {
			q.Set(name, v)
		}
	}
	return d.path() + "?" + q.Encode()
}

type modeWords struct{ ID, Name, Title string }

func modes() []modeWords {
	return []modeWords{{Sizes, "Sizes", "Measure in a picture"}, {Bracelet, "Bracelet",
		"How far the bracelet has stretched"}, {Dial, "Plots and dial", "Colours of the plots and the dial"},
		{Finding, "A finding", "Place a finding on a picture"}, {Listing, "For the listing",
			"Make a picture ready for the listing"}}
}

// ModeTitle is the heading of a mode; ok is false for what is none.
func ModeTitle(mode string) (string, bool) {
	for _, m := range modes() {
		if m.ID == mode {
			return m.Title, true
		}
	}
	return "", false
}

func described(f Field) templ.Attributes {
	return fields.Described(f.Name, f.Hint, f.Error)
}

// picking tells the island what a field takes.
func picking(f Field) templ.Attributes {
	a := described(f)
	if f.Type != "points" && f.Type != "disc" {
		return a
	}
	a["data-pick"] = f.Type
	a["data-most"] = fmt.Sprint(f.Most)
	a["data-least"] = fmt.Sprint(f.Least)
	if f.Viewer != "" {
		a["data-viewer"] = f.Viewer
	}
	return a
}

// kept are the fields of the answer, to be sent again when it is added.
func kept(v url.Values) []Option {
	var out []Option
	for name, all := range v {
		if name != "added" && name != "by" && len(all) > 0 && all[0] != "" {
			out = append(out, Option{name, all[0]})
		}
	}
	slices.SortFunc(out, func(a, b Option) int { return strings.Compare(a.Value, b.Value) })
	return out
}

// places is how many decimals a figure with this half range deserves.
func places(half float64) int {
	if !(half > 0) {
		return 2
	}
	return min(max(0, 1-int(math.Floor(math.Log10(half)))), 3)
}

const z90 = 1.644854

func mm(v, se float64) string { return fmt.Sprintf("%.*f", places(z90*se), v) }

func plusMinus(se float64) string {
	n := places(z90 * se)
	return fmt.Sprintf("±\u00a0%.*f", n, max(z90*se, math.Pow(10, -float64(n))))
}

func interval(i [2]float64) string { return fmt.Sprintf("%.2f–%.2f", i[0], i[1]) }

// line is one measured size as the table shows it.
type line struct {
	Name, MM, PlusMinus, Range, Book, Says, Only string
}

func (r SizesAnswer) lines(k Known) []line {
	var out []line
	for i, l := range r.Measured.Lengths {
		out = append(out, line{sizeWords(l.Name), mm(l.MM, l.SE), plusMinus(l.SE), interval(l.Interval90),
			bookSays(k, l.Name), "", fmt.Sprintf("length %d", i)})
	}
	for i, c := range r.Measured.Circles {
		says := fmt.Sprintf("edge found on %.0f %% of the way round; points lie %.2f px off it", 100*c.Share,
			c.ResidualPx)
		if c.Share == 0 {
			says = fmt.Sprintf("rests on the points alone, which lie %.2f px off the circle", c.ResidualPx)
		}
		out = append(out, line{sizeWords(c.Name), mm(c.DiameterMM, c.SE), plusMinus(c.SE), interval(c.Interval90),
			bookSays(k, c.Name), says, fmt.Sprintf("circle %d", i)})
	}
	return out
}

func bookSays(k Known, what string) string {
	if v := k.size(what); v > 0 {
		return fmt.Sprintf("%.2f", v)
	}
	return "–"
}

// scaleSays is one sentence on the scale.
func scaleSays(s photo.ScaleFigure) string {
	out := fmt.Sprintf("%.5f mm a pixel, ± %.5f", s.MMPerPx, z90*s.SE)
	if s.ResidualPx > 0 {
		out += fmt.Sprintf("; what was found lies %.2f px off its figure", s.ResidualPx)
	}
	if s.TiltDeg > 0 {
		out += fmt.Sprintf("; tilted by %.1f°", s.TiltDeg)
	}
	return out + fmt.Sprintf("; lens about %.0f mm away.", s.CameraMM)
}

// marks are what was found, for the island to draw.
func (d Data) marks() []Option {
	var out []Option
	add := func(label, format string, args ...any) {
		out = append(out, Option{fmt.Sprintf(format, args...), label})
	}
	measured := func(m photo.Measurement) {
		for _, l := range m.Lengths {
			add(sizeWords(l.Name), "line %.2f %.2f %.2f %.2f", l.Ends[0][0], l.Ends[0][1], l.Ends[1][0], l.Ends[1][1])
		}
		for _, c := range m.Circles {
			add(sizeWords(c.Name), "ellipse %.2f %.2f %.2f %.2f %.3f", c.Centre[0], c.Centre[1], c.HalfAxes[0],
				c.HalfAxes[1], c.AngleDeg)
		}
	}
	switch {
	case d.Mode == Finding:
		for _, p := range d.Placed {
			add(p.Says, "ellipse %.2f %.2f %.2f %.2f 0", p.At[0], p.At[1], p.RadiusPx, p.RadiusPx)
		}
	case d.Sizes != nil:
		measured(d.Sizes.Measured)
	case d.Bracelet != nil:
		measured(d.Bracelet.Measured)
	case d.Plots != nil:
		for _, p := range d.Plots.Report.Plots {
			add(fmt.Sprint(p.Hour), "ellipse %.2f %.2f %.2f %.2f 0", p.At[0], p.At[1], p.RadiusPx, p.RadiusPx)
		}
	}
	return out
}

// swatch is a CIELAB colour as #rrggbb.
func swatch(c photo.Lab) string {
	l := c.Linear()
	var out color.RGBA
	for k, to := range []*uint8{&out.R, &out.G, &out.B} {
		*to = uint8(math.Round(255 * min(max(photo.EncodeSRGB(min(max(l[k], 0), 1)), 0), 1)))
	}
	return fmt.Sprintf("#%02x%02x%02x", out.R, out.G, out.B)
}

// onRing is the place of an hour on a ring of 150 about (200, 200).
func onRing(hour int, radius float64) (x, y string) {
	s, c := math.Sincos(2 * math.Pi * float64(hour%12) / 12)
	return fmt.Sprintf("%.1f", 200+radius*s), fmt.Sprintf("%.1f", 200-radius*c)
}

func ringX(hour int, radius float64) string { x, _ := onRing(hour, radius); return x }
func ringY(hour int, radius float64) string { _, y := onRing(hour, radius); return y }

func chance(p float64) string {
	if p < 0.001 {
		return "< 0.1 %"
	}
	if p < 0.0995 {
		return fmt.Sprintf("%.1f %%", 100*p)
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

func toneWords(t photo.DialTone) []string {
	out := []string{fmt.Sprintf("Ground: L* %s, a* %s, b* %s.", one(t.Lab[0]), one(t.Lab[1]), one(t.Lab[2])),
		fmt.Sprintf("Twelve sectors lie ΔE00 %.1f from their middle colour; edge and middle differ by ΔE00 %.1f.",
			t.Unevenness, t.EdgeFade)}
	if n := len(t.Spots); n > 0 {
		area := ""
		if t.SpotMM2 > 0 {
			area = fmt.Sprintf(", %.2f mm² in all", t.SpotMM2)
		}
		out = append(out, fmt.Sprintf("%s on %.2f %% of the dial%s. Glossy places and print count too; look at them.",
			say.Capital(count(n, "spot")), t.SpotPercent, area))
	} else {
		out = append(out, "No spots found.")
	}
	return out
}

func viewOf(p *evidence.Photo) string { return strings.ReplaceAll(p.View, "_", " ") }

// shown is the address under which the browser shows the whole picture; a kind that
// few browsers read is shown as JPEG.
func (d Data) shown() string { return Shown(string(d.Watch.ID), d.Blob, d.Photo) }

// Shown is the address of a whole picture as a browser can show it.
func Shown(watch, blob string, p *evidence.Photo) string {
	if p.MediaType == "image/heic" || p.MediaType == "" {
		return back(watch) + "/photos/" + url.PathEscape(blob) + "/shown.jpg"
	}
	return "/pictures/" + url.PathEscape(blob)
}

// listingPath is the address of the picture made for a listing.
func (d Data) listingPath(side int, save bool) string {
	q := url.Values{"side": {fmt.Sprint(side)}}
	for _, name := range []string{"level", "square", "grey", "grey_l"} {
		if v := d.Form.Values.Get(name); v != "" {
			q.Set(name, v)
		}
	}
	if save {
		q.Set("save", "1")
	}
	return back(string(d.Watch.ID)) + "/photos/" + url.PathEscape(d.Blob) + "/listing.jpg?" + q.Encode()
}

func title(d Data) string { t, _ := ModeTitle(d.Mode); return t }

func (d Data) answered() bool {
	return d.Sizes != nil || d.Bracelet != nil || d.Plots != nil || d.Listing != nil
}

// besidePath leads to the page that lays this picture's dial on another.
func besidePath(d Data) string {
	q := url.Values{}
	for _, name := range []string{"edge", "twelve", "six", "dial_mm"} {
		if v := d.Form.Values.Get(name); v != "" {
			q.Set(name, v)
		}
	}
	to := back(string(d.Watch.ID)) + "/photos/" + url.PathEscape(d.Blob) + "/beside"
	if len(q) > 0 {
		to += "?" + q.Encode()
	}
	return to
}

func ask(mode string) string {
	switch mode {
	case Dial:
		return "Read the colours"
	case Listing:
		return "Make it"
	}
	return "Measure"
}

func odd(p photo.PlotFigure) bool { return p.Note.IsZero() && p.OddP < 0.05 }

func markersSaid(hours []int) string {
	if len(hours) == 0 {
		return "The book does not say at which hours an applied marker stands beside the plot; all but 3, 6 and 9 are taken to have one."
	}
	var out []string
	for _, h := range hours {
		out = append(out, fmt.Sprint(h))
	}
	return "By the book an applied marker stands beside the plots at " + strings.Join(out, ", ") + "."
}

// one writes a figure to a tenth, with a proper minus.
func one(v float64) string { return strings.Replace(fmt.Sprintf("%.1f", v), "-", "−", 1) }

// gapsSaid sums the gaps between links up.
func gapsSaid(all []photo.Gap) string {
	var each []string
	sum, most := 0.0, 0.0
	for _, g := range all {
		each = append(each, fmt.Sprintf("%.2f ± %.2f", g.MM, z90*g.SE))
		sum, most = sum+g.MM, math.Max(most, g.MM)
	}
	return fmt.Sprintf("Gaps between links, mm: %s; %.2f on average, the widest %.2f.", strings.Join(each, ", "),
		sum/float64(len(all)), most)
}
