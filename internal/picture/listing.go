package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"math"
)

// ListingSizes are the sides in px in which a picture for a listing is made.
var ListingSizes = []int{800, 1600, 2400}

// Listing says how a picture is made ready for a listing. Places are px from the top
// left of the upright picture. Nothing else is done to it: the watch is not retouched.
type Listing struct {
	// Level are two points of a line that is level or upright in truth; nil leaves the
	// picture as it stands.
	Level *[2][2]float64
	// Middle and Half give the square to keep; a Half of 0 keeps the largest in the
	// middle.
	Middle [2]float64
	Half   float64
	// Gain is by what the channels of linear light are multiplied, as a grey card in
	// the picture asks; only their proportions are used, so that the brightness stays.
	// All 0 leaves the colours as they are.
	Gain [3]float64
}

// listingQuality is the JPEG quality of pictures for listings.
const listingQuality = 90

// leastListing is the smallest square, in px of the original, that is kept.
const leastListing = 100

// plan is a Listing worked out on a picture.
type plan struct {
	w, h         int
	middle       [2]float64
	half, turned float64 // px; radians, clockwise as seen
	cut          bool    // the square asked for reached beyond the picture
	gain         [3]float64
}

func (l Listing) plan(b image.Rectangle) (plan, error) {
	p := plan{w: b.Dx(), h: b.Dy(), middle: l.Middle, half: l.Half, gain: [3]float64{1, 1, 1}}
	if l.Level != nil {
		dx, dy := l.Level[1][0]-l.Level[0][0], l.Level[1][1]-l.Level[0][1]
		if !(math.Hypot(dx, dy) >= 20) {
			return p, fmt.Errorf("the two points of the level line lie %.0f px apart; give 20 or more",
				math.Hypot(dx, dy))
		}
		a := math.Atan2(dy, dx)
		p.turned = a - math.Round(a/(math.Pi/2))*math.Pi/2
	}
	if p.half == 0 {
		p.middle, p.half = [2]float64{float64(p.w) / 2, float64(p.h) / 2}, float64(max(p.w, p.h))
	} else if !(p.middle[0] >= 0 && p.middle[1] >= 0 && p.middle[0] <= float64(p.w) && p.middle[1] <= float64(p.h)) {
		return p, fmt.Errorf("the middle of the square (%.0f, %.0f) lies outside the picture of %d × %d px",
			p.middle[0], p.middle[1], p.w, p.h)
	}
	// A turned square reaches half·(|cos| + |sin|) to each side.
	reach := math.Abs(math.Cos(p.turned)) + math.Abs(math.Sin(p.turned))
	room := min(p.middle[0], p.middle[1], float64(p.w)-p.middle[0], float64(p.h)-p.middle[1]) / reach
	if p.half > room {
		p.half, p.cut = room, l.Half > 0
	}
	if !(2*p.half >= leastListing) {
		return p, fmt.Errorf("the square is %.0f px wide; give %d px or more inside the picture",
			2*max(p.half, 0), leastListing)
	}
	weight := 0.2126*l.Gain[0] + 0.7152*l.Gain[1] + 0.0722*l.Gain[2]
	if l.Gain != [3]float64{} {
		for k, g := range l.Gain {
			if !(g > 0) || math.IsInf(g, 0) {
				return p, fmt.Errorf("a gain of %g; give one above 0 for each channel", g)
			}
			p.gain[k] = g / weight
		}
	}
	return p, nil
}

// Make makes the square with a side of at most so many px; it is never enlarged beyond
// the pixels of the original. img must be upright and in sRGB, as View gives it.
func (l Listing) Make(img image.Image, side int) (*image.RGBA, error) {
	p, err := l.plan(img.Bounds())
	if err != nil {
		return nil, fmt.Errorf("picture for a listing: %w", err)
	}
	side = max(1, min(side, int(2*p.half)))
	out := image.NewRGBA(image.Rect(0, 0, side, side))
	src := asWide(img)
	from := img.Bounds().Min
	step := 2 * p.half / float64(side) // px of the original to one of the square
	n := max(1, int(math.Ceil(step)))
	s, c := math.Sincos(p.turned)
	same := p.gain == [3]float64{1, 1, 1} && p.turned == 0 && n == 1
	for j := range side {
		for i := range side {
			var sum [3]float64
			for b := range n {
				for a := range n {
					u := (float64(i)+(float64(a)+0.5)/float64(n))*step - p.half
					v := (float64(j)+(float64(b)+0.5)/float64(n))*step - p.half
					x := min(max(int(p.middle[0]+u*c-v*s), 0), p.w-1)
					y := min(max(int(p.middle[1]+u*s+v*c), 0), p.h-1)
					q := src.RGBA64At(from.X+x, from.Y+y)
					sum[0] += listingLight[q.R>>4]
					sum[1] += listingLight[q.G>>4]
					sum[2] += listingLight[q.B>>4]
					if same {
						out.SetRGBA64(i, j, q)
					}
				}
			}
			if !same {
				o := out.Pix[out.PixOffset(i, j):]
				for k := range sum {
					o[k] = encodedByte(sum[k] / float64(n*n) * p.gain[k])
				}
				o[3] = 255
			}
		}
	}
	return out, nil
}

// listingLight is linear light by the upper 12 bits of an encoded channel.
var listingLight = func() (t [4096]float64) {
	for i := range t {
		v := (float64(i) + 0.5) / 4096
		if v <= 0.04045 {
			t[i] = v / 12.92
		} else {
			t[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return t
}()

func encodedByte(v float64) uint8 {
	v = min(max(v, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * v))
}

// JPEG makes the square as a JPEG in sRGB without any metadata.
func (l Listing) JPEG(img image.Image, side int) ([]byte, error) {
	made, err := l.Make(img, side)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, made, &jpeg.Options{Quality: listingQuality}); err != nil {
		return nil, fmt.Errorf("picture for a listing: %w", err)
	}
	return out.Bytes(), nil
}

// Says tells, sentence by sentence, what is done to a picture and what is not, so that
// a buyer may trust it.
func (l Listing) Says(img image.Image, seen Seen) ([]string, error) {
	p, err := l.plan(img.Bounds())
	if err != nil {
		return nil, fmt.Errorf("picture for a listing: %w", err)
	}
	var out []string
	if deg := -p.turned * 180 / math.Pi; math.Abs(deg) >= 0.05 {
		way := "to the right"
		if deg < 0 {
			way = "to the left"
		}
		out = append(out, fmt.Sprintf("Straightened: turned %s by %.1f°.", way, math.Abs(deg)))
	} else {
		out = append(out, "Not turned.")
	}
	crop := fmt.Sprintf("Cropped to a square of %d px out of %d × %d.", int(2*p.half), p.w, p.h)
	if p.cut {
		crop += " The square asked for reached beyond the picture and was made smaller; nothing was filled in."
	}
	out = append(out, crop)
	switch {
	case l.Gain != [3]float64{}:
		out = append(out, fmt.Sprintf(
			"Neutral balance from the grey card in the picture: red × %.2f, green × %.2f, blue × %.2f in linear light.",
			p.gain[0], p.gain[1], p.gain[2]))
	default:
		out = append(out, "Colours as the camera gave them; no grey card was used.")
	}
	if seen.Profile != "" && seen.Profile != "sRGB" {
		out = append(out, fmt.Sprintf("Colours converted from %s to sRGB.", seen.Profile))
	}
	if seen.Caution != "" {
		out = append(out, "Mind: "+seen.Caution+".")
	}
	return append(out, "Nothing was retouched, sharpened, smoothed or painted over.",
		"Place, time, camera and every other note inside the file are left out; the original is kept unchanged."), nil
}
