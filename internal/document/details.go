package document

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"golang.org/x/image/draw"

	"midcase/evidence"
	"midcase/say"
)

const (
	detailPixels = 620 // the side of a detail on paper
	detailInText = 280 // and in Markdown
	mostDetails  = 12  // in one report; the gravest findings first
)

// placed is a finding that was placed on a photo of the report.
type placed struct {
	item    evidence.Item
	finding *evidence.Finding
	photo   int // index of the photo
}

// placedFindings lists them, the gravest first, in the order of the items otherwise.
func placedFindings(r Report) []placed {
	at := map[evidence.ID]int{}
	for i, p := range r.Photos {
		at[p.Evidence] = i
	}
	var out []placed
	for severity := 4; severity >= 0; severity-- {
		for _, it := range r.Items {
			f, ok := it.Data.(*evidence.Finding)
			if !ok || f.Severity != severity || f.RadiusPx <= 0 || len(out) == mostDetails {
				continue
			}
			if i, ok := at[f.Photo]; ok && f.Photo != "" {
				out = append(out, placed{it, f, i})
			}
		}
	}
	return out
}

// details are the plates of the findings that were placed on a photo.
func (w *writer) details() plates {
	var out plates
	var cut []picture
	if w.withDetails {
		cut = cutDetails(w.r, detailInText)
	}
	for i, p := range placedFindings(w.r) {
		caption := w.told(say.That("report.detail", say.Count("n", i+1), say.Count("plate", p.photo+1),
			say.Name("finding", w.told(evidence.Described(p.item, true))+".")))
		one := plate{number: len(w.r.Photos) + i + 1, caption: caption,
			cites: w.refs.cite([]evidence.ID{p.item.ID, p.finding.Photo})}
		if cut != nil {
			one.cut = cut[i].jpeg
		}
		out.photos = append(out.photos, one)
	}
	return out
}

// cutDetails cuts each placed finding out of its photo, with its surroundings and a
// ring about it. Each photo is opened once.
func cutDetails(r Report, side int) []picture {
	all := placedFindings(r)
	out := make([]picture, len(all))
	for i := range r.Photos {
		var img image.Image
		problem, opened := say.Statement{}, false
		for k, p := range all {
			if p.photo != i {
				continue
			}
			if !opened {
				img, problem = openSafely(r.Photos[i].Data)
				opened = true
			}
			out[k] = picture{problem: problem}
			if problem.IsZero() {
				out[k] = detail(img, p.finding.At, p.finding.RadiusPx, side)
			}
			out[k].name = fmt.Sprintf("detail%d", k+1)
		}
	}
	return out
}

// openSafely is openPicture for decoders that panic on a damaged file.
func openSafely(data []byte) (img image.Image, problem say.Statement) {
	defer func() {
		if r := recover(); r != nil {
			img, problem = nil, say.That("report.picture-damaged")
		}
	}()
	return openPicture(data)
}

// detail cuts a square about a place, twice as wide as what is seen there and more,
// and draws a ring about it.
func detail(img image.Image, at [2]float64, radius float64, side int) picture {
	b := img.Bounds()
	half := max(2.2*radius, 40)
	half = min(half, float64(b.Dx())/2, float64(b.Dy())/2)
	x := min(max(at[0], half), float64(b.Dx())-half)
	y := min(max(at[1], half), float64(b.Dy())-half)
	from := image.Rect(int(x-half), int(y-half), int(x+half), int(y+half)).Add(b.Min).Intersect(b)
	if from.Empty() {
		return picture{problem: say.That("report.picture-outside")}
	}
	out := image.NewRGBA(image.Rect(0, 0, side, side))
	fillWhite(out)
	draw.CatmullRom.Scale(out, out.Bounds(), img, from, draw.Over, nil)
	k := float64(side) / float64(from.Dx())
	cx, cy := (at[0]-float64(from.Min.X-b.Min.X))*k, (at[1]-float64(from.Min.Y-b.Min.Y))*k
	ring(out, cx, cy, radius*k, 4.5*float64(side)/detailPixels, color.RGBA{20, 22, 26, 255})
	ring(out, cx, cy, radius*k, 2*float64(side)/detailPixels, color.RGBA{255, 217, 138, 255})
	return pictureOf(out)
}

// ring draws a circle line of a width in px, with soft edges.
func ring(img *image.RGBA, cx, cy, r, width float64, c color.RGBA) {
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			d := math.Abs(math.Hypot(float64(x)+0.5-cx, float64(y)+0.5-cy) - r)
			a := min(max(width/2+0.5-d, 0), 1)
			if a == 0 {
				continue
			}
			o := img.RGBAAt(x, y)
			mix := func(p, q uint8) uint8 { return uint8(math.Round(float64(p)*(1-a) + float64(q)*a)) }
			img.SetRGBA(x, y, color.RGBA{mix(o.R, c.R), mix(o.G, c.G), mix(o.B, c.B), 255})
		}
	}
}
