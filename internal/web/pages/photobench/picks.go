package photobench

import (
	"fmt"
	"image"
	"math"

	"midcase/evidence"
	"midcase/internal/picture"
	"midcase/internal/shop/intake"
	"midcase/photo"
)

// The modes of the bench.
const (
	Sizes    = "sizes"
	Bracelet = "bracelet"
	Dial     = "dial"
	Finding  = "finding"
	Listing  = "listing"
)

// The kinds of dimension that the bracelet's form gives.
const (
	droopSize  = "bracelet_droop"
	pulledSize = "bracelet_length_under_pull"
)

// mostRows is how many sizes one form takes.
const mostRows = 12

// Subject is the picture that is measured.
type Subject struct {
	Photo         *evidence.Photo
	Width, Height int
	Focal35MM     float64
}

func (s Subject) camera(f *Form) *photo.CameraPick {
	f.at("camera", "camera_mm")
	if mm := f.number("camera_mm"); mm != 0 {
		return &photo.CameraPick{DistanceMM: mm}
	}
	if s.Focal35MM > 0 {
		return &photo.CameraPick{Focal35MM: s.Focal35MM}
	}
	return nil
}

// SizesPicks reads the form of sizes: two points make a length, three or more a
// diameter.
func SizesPicks(f *Form, s Subject) photo.Picks {
	p := photo.Picks{Camera: s.camera(f)}
	p.Scale = f.scale(s.Photo, s.Width, s.Height)
	rows := 0
	for i := range mostRows {
		name, at, h := fmt.Sprintf("what%d", i), fmt.Sprintf("at%d", i), fmt.Sprintf("h%d", i)
		points := f.points(at, 2, mostPoints)
		if len(points) == 0 {
			if f.get(at) != "" {
				rows++ // wrong, and said so
			}
			continue
		}
		rows++
		what := f.get(name)
		if what == "" {
			f.wrong(name, "nothing", "what was measured")
			continue
		}
		height := f.number(h)
		if len(points) == 2 {
			f.place(fmt.Sprintf("lengths[%d]", len(p.Lengths)), at, h)
			p.Lengths = append(p.Lengths, photo.LengthPick{Name: what, A: points[0], B: points[1], HeightMM: height})
			continue
		}
		f.place(fmt.Sprintf("circles[%d]", len(p.Circles)), at, h)
		p.Circles = append(p.Circles, photo.CirclePick{Name: what, Through: points, HeightMM: height})
	}
	if rows == 0 {
		f.wrong("at0", "nothing", "two points of a length, or three and more round an edge")
	}
	return p
}

func (f *Form) place(prefix, at, height string) {
	f.at(prefix, at)
	f.at(prefix+".height", height)
}

// BraceletPicks reads the form of the bracelet: droop, a length under a pull, or both.
func BraceletPicks(f *Form, s Subject) (photo.Picks, intake.Pull) {
	p := photo.Picks{Camera: s.camera(f)}
	p.Scale = f.scale(s.Photo, s.Width, s.Height)
	for _, x := range [][2]string{{"droop", "level"}, {"droop.held", "held"}, {"droop.free", "free"},
		{"droop.level", "level"}, {"droop.plumb", "level"}, {"droop.along", "along"}, {"droop.gaps",
			"gaps"}, {"lengths[0]", "pulled"}} {
		f.at(x[0], x[1])
	}
	pulled := f.points("pulled", 2, 2)
	pull := intake.Pull{Links: f.whole("pulled_links"), N: f.number("pull_n")}
	if len(pulled) == 2 {
		p.Lengths = []photo.LengthPick{{Name: pulledSize, A: pulled[0], B: pulled[1]}}
		if pull.Links <= 0 && !f.has("pulled_links") {
			f.wrong("pulled_links", "nothing", "the number of links between the two points")
		}
		if pull.N <= 0 && !f.has("pull_n") {
			f.wrong("pull_n", "nothing", "the pull in newton; a 500 g weight pulls 4.9 N")
		}
	}
	if f.get("held") == "" && f.get("free") == "" {
		if len(pulled) == 0 && !f.has("pulled") {
			f.wrong("held", "nothing", "the place where the free part begins, or a length under a pull below")
		}
		return p, pull
	}
	held := f.need("held", "the place where the free part begins", 1, 1)
	free := f.need("free", "the middle of the last link", 1, 1)
	line := f.need("level", "two points of a level line, or of a plumb line", 2, 2)
	along := f.points("along", 1, mostPoints)
	links := f.whole("links")
	gaps := f.points("gaps", 2, mostPoints)
	if len(gaps)%2 != 0 {
		f.wrong("gaps", count(len(gaps), "point"), "two across each gap")
	}
	if len(held) == 1 && len(free) == 1 && len(line) == 2 {
		d := &photo.DroopPick{Held: held[0], FreeEnd: free[0], Along: along, Links: links}
		for i := 0; i+1 < len(gaps); i += 2 {
			d.Gaps = append(d.Gaps, [2]photo.Point{gaps[i], gaps[i+1]})
		}
		l := [2]photo.Point{line[0], line[1]}
		if f.get("line") == "plumb" {
			d.Plumb = &l
		} else {
			d.Level = &l
		}
		p.Droop = d
	}
	return p, pull
}

// DialPicks reads the form of the dial. markers are the hours at which the book has an
// applied marker beside the plot.
func DialPicks(f *Form, markers []int) photo.Picks {
	p := photo.Picks{Markers: markers, DialPicks: f.dial("")}
	for _, x := range [][2]string{{"grey", "grey"}, {"grey.lab", "grey_l"}, {"hands[0]", "hour_hand"},
		{"hands[1]", "minute_hand"}, {"plots", "plots"}} {
		f.at(x[0], x[1])
	}
	p.Grey = f.grey()
	for _, h := range [][2]string{{"hour_hand", "hour"}, {"minute_hand", "minute"}} {
		if at, r, ok := f.disc(h[0]); ok {
			if len(p.Hands) == 0 {
				f.at("hands[0]", h[0])
			}
			p.Hands = append(p.Hands, photo.SpotPick{Name: h[1], At: at, RadiusPx: r})
		}
	}
	p.Plots = f.plots(p.DialPicks)
	return p
}

// dial reads edge, twelve and six of a dial; the names of its fields end in suffix.
func (f *Form) dial(suffix string) photo.DialPicks {
	prefix := map[string]string{"": "", "_2": "reference."}[suffix]
	for _, x := range [][2]string{{"dial", "edge"}, {"dial.mm", "dial_mm"}, {"twelve", "twelve"}, {"six", "six"}} {
		f.at(prefix+x[0], x[1]+suffix)
	}
	out := photo.DialPicks{}
	if edge := f.need("edge"+suffix, "three points or more round the edge of the dial", 3, mostPoints); len(edge) > 0 {
		out.Dial = &photo.DialPick{Through: edge, MM: f.number("dial_mm")}
	}
	if t := f.points("twelve"+suffix, 1, 1); len(t) == 1 {
		out.Twelve = &t[0]
	}
	if s := f.points("six"+suffix, 1, 1); len(s) == 1 {
		out.Six = &s[0]
		if out.Twelve == nil {
			f.wrong("twelve"+suffix, "nothing", "the mark at twelve too")
		}
	}
	return out
}

func (f *Form) grey() *photo.GreyPick {
	at, r, ok := f.disc("grey")
	if !ok {
		return nil
	}
	l := f.number("grey_l")
	if l == 0 {
		l = usualGrey
	}
	return &photo.GreyPick{At: at, RadiusPx: r, Lab: photo.Lab{l, 0, 0}}
}

// usualGrey is L* of a card that reflects 18 % of the light.
const usualGrey = 49.5

// plots reads picked plots, the first with a point of its edge; each takes the hour in
// whose direction it lies.
func (f *Form) plots(d photo.DialPicks) []photo.PlotPick {
	at := f.points("plots", 3, 13)
	if len(at) == 0 || d.Dial == nil {
		return nil
	}
	middle, err := photo.FitCircleAlgebraic(d.Dial.Through)
	if err != nil {
		return nil // Plots says it of the edge
	}
	radius := math.Hypot(at[1][0]-at[0][0], at[1][1]-at[0][1])
	up := photo.Point{0, -1}
	if d.Twelve != nil {
		up = photo.Point{d.Twelve[0] - middle.X, d.Twelve[1] - middle.Y}
	}
	var out []photo.PlotPick
	for i, p := range append(at[:1:1], at[2:]...) {
		turn := math.Atan2(p[1]-middle.Y, p[0]-middle.X) - math.Atan2(up[1], up[0])
		hour := (int(math.Round(turn/(math.Pi/6))) + 24) % 12
		if hour == 0 {
			hour = 12
		}
		f.at(fmt.Sprintf("plots[%d]", i), "plots")
		out = append(out, photo.PlotPick{Hour: hour, At: p, RadiusPx: radius})
	}
	return out
}

// BesidePicks reads the form that lays one dial on another.
func BesidePicks(f *Form) photo.Picks {
	a, b := f.dial(""), f.dial("_2")
	for _, x := range [][2]string{{"subject.dial", "edge"}, {"subject.twelve", "twelve"}, {"subject.six", "six"}} {
		f.at(x[0], x[1])
	}
	return photo.Picks{Subject: &a, Reference: &b}
}

// ListingWish reads the form of a picture for a listing.
func ListingWish(f *Form, img image.Image) (picture.Listing, error) {
	var l picture.Listing
	if p := f.points("level", 2, 2); len(p) == 2 {
		l.Level = &[2][2]float64{p[0], p[1]}
		if math.Hypot(p[1][0]-p[0][0], p[1][1]-p[0][1]) < 20 {
			f.wrong("level", "two points close together", "two points 20 pixels or more apart")
		}
	}
	if p := f.points("square", 2, 2); len(p) == 2 {
		l.Middle, l.Half = p[0], max(math.Abs(p[1][0]-p[0][0]), math.Abs(p[1][1]-p[0][1]))
	}
	f.at("grey", "grey")
	f.at("grey.lab", "grey_l")
	if g := f.grey(); g != nil {
		gain, err := photo.GreyGain(img, *g)
		if err != nil {
			return l, err
		}
		l.Gain = gain
	}
	return l, nil
}

// FindingOf reads the form of a finding and places it on the photo.
func FindingOf(f *Form, photoItem evidence.ID, width, height int) *evidence.Finding {
	values := map[string]string{}
	for _, name := range []string{"slot", "term", "severity", "extent", "where", "note"} {
		values[name] = f.get(name)
	}
	if values["severity"] == "" {
		f.wrong("severity", "nothing", "how severe it is, 0 for a good point")
	}
	data, problems := evidence.FromFields(evidence.KindFinding, values)
	f.Problems = append(f.Problems, problems...)
	if data != nil {
		for _, p := range data.Check() {
			if !f.has(p.Field) {
				f.Problems = append(f.Problems, p)
			}
		}
	}
	f.need("place", "the middle of what is seen and a point of its edge", 2, 2)
	at, radius, ok := f.disc("place")
	if ok && !(at[0] >= 0 && at[1] >= 0 && at[0] <= float64(width) && at[1] <= float64(height)) {
		f.wrong("place", fmt.Sprintf("(%g, %g)", at[0], at[1]),
			fmt.Sprintf("a place inside the picture of %d × %d pixels", width, height))
	}
	out, isFinding := data.(*evidence.Finding)
	if !isFinding || !ok {
		return nil
	}
	out.Photo, out.At, out.RadiusPx = photoItem, [2]float64{math.Round(at[0]*10) / 10,
		math.Round(at[1]*10) / 10}, math.Max(1, math.Round(radius*10)/10)
	return out
}
