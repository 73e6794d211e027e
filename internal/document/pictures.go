package document

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"runtime"
	"sync"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/draw"

	pictures "midcase/internal/picture"
	"midcase/say"
)

const (
	mainPixels  = 1600 // the longer side of the main picture
	platePixels = 1100 // the longer side of the others: half a page wide
	// mostPixels bounds what is decoded, against a small file of huge dimensions.
	mostPixels  = 120_000_000
	jpegQuality = 84
)

// picture is a photo made ready for the page, or the reason for which it is not.
type picture struct {
	name    string
	w, h    int
	jpeg    []byte
	problem say.Statement
}

// shelf holds the pictures of a paper by their numbers on it, from 1 on: the photos, and after them the details cut out
// of them. Each is read once, and only if it is on a page.
type shelf map[int]picture

// numbered are the numbers of the plates on the pages.
func numbered(first *plate, sections []section) (out []int) {
	if first != nil {
		out = append(out, first.number)
	}
	for _, s := range sections {
		for _, b := range s.blocks {
			if p, ok := b.(plates); ok {
				for _, one := range p.photos {
					out = append(out, one.number)
				}
			}
		}
	}
	return out
}

// read reads what is not on the shelf yet.
func (s *shelf) read(r Report, numbers []int) {
	if *s == nil {
		*s = shelf{}
	}
	var photos []int
	details := false
	for _, n := range numbers {
		_, there := (*s)[n]
		switch {
		case there:
		case n > len(r.Photos):
			details = true
		case n > 0:
			photos = append(photos, n-1)
		}
	}
	for i, p := range readPictures(r.Photos, photos) {
		(*s)[photos[i]+1] = p
	}
	if details {
		for i, p := range cutDetails(r, detailPixels) {
			(*s)[len(r.Photos)+i+1] = p
		}
	}
}

// readPictures decodes and sizes the photos of some indexes, two or more at a time. They are
// written anew, so that nothing but the picture goes into the document.
func readPictures(photos []Photo, of []int) []picture {
	out := make([]picture, len(of))
	gate := make(chan struct{}, max(2, runtime.GOMAXPROCS(0)))
	var wg sync.WaitGroup
	for k, i := range of {
		most := platePixels
		if i == 0 {
			most = mainPixels
		}
		wg.Add(1)
		go func() {
			defer wg.Done()
			gate <- struct{}{}
			defer func() { <-gate }()
			out[k] = readPicture(photos[i].Data, most)
			out[k].name = fmt.Sprintf("plate%d", i+1)
		}()
	}
	wg.Wait()
	return out
}

func readPicture(data []byte, most int) (p picture) {
	// A decoder that panics on a damaged file must not take the report with it.
	defer func() {
		if r := recover(); r != nil {
			p = picture{problem: say.That("report.picture-damaged")}
		}
	}()
	img, problem := openAs(data, func(img image.Image) image.Image { return shrink(img, most) })
	if !problem.IsZero() {
		return picture{problem: problem}
	}
	return pictureOf(onPaper(img))
}

// openPicture decodes a picture upright and in sRGB, or says why it cannot.
func openPicture(data []byte) (img image.Image, problem say.Statement) {
	return openAs(data, func(img image.Image) image.Image { return img })
}

// openAs is openPicture of a picture whose pixels are made fewer first, as shrink does.
func openAs(data []byte, shrink func(image.Image) image.Image) (img image.Image, problem say.Statement) {
	if len(data) == 0 {
		return nil, say.That("report.picture-empty")
	}
	c, kind, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, say.That("report.picture-kind")
	}
	if c.Width <= 0 || c.Height <= 0 || c.Width > mostPixels/c.Height {
		return nil, say.That("report.picture-pixels", say.Name("size", fmt.Sprintf("%d × %d", c.Width, c.Height)))
	}
	if img, _, err = pictures.Shrunk(context.Background(), data, shrink); err != nil {
		return nil, say.That("report.picture-cut", say.Name("kind", kind))
	}
	return img, say.Statement{}
}

// pictureOf writes pixels as the page takes them.
func pictureOf(img image.Image) picture {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: jpegQuality}); err != nil {
		return picture{problem: say.That("report.picture-unwritten")}
	}
	return picture{w: img.Bounds().Dx(), h: img.Bounds().Dy(), jpeg: b.Bytes()}
}

// shrink makes the longer side at most so many pixels.
func shrink(img image.Image, most int) image.Image {
	b := img.Bounds()
	long := max(b.Dx(), b.Dy())
	if long <= most {
		return img
	}
	w, h := max(1, b.Dx()*most/long), max(1, b.Dy()*most/long)
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	fillWhite(out)
	var scaler draw.Scaler = draw.BiLinear
	if y, ok := img.(*image.YCbCr); ok {
		// A photo: average whole blocks first, which is quick, so that the rest is
		// under a factor of two, where taking four neighbours loses nothing.
		img, scaler = blocks(y, long/most), draw.ApproxBiLinear
	}
	scaler.Scale(out, out.Bounds(), img, img.Bounds(), draw.Over, nil)
	return out
}

// blocks averages blocks of k × k samples in each plane.
func blocks(src *image.YCbCr, k int) *image.YCbCr {
	if k < 2 {
		return src
	}
	b := src.Bounds()
	out := image.NewYCbCr(image.Rect(0, 0, b.Dx()/k, b.Dy()/k), src.SubsampleRatio)
	average(out.Y, out.YStride, src.Y[src.YOffset(b.Min.X, b.Min.Y):], src.YStride, k)
	c := src.COffset(b.Min.X, b.Min.Y)
	average(out.Cb, out.CStride, src.Cb[c:], src.CStride, k)
	average(out.Cr, out.CStride, src.Cr[c:], src.CStride, k)
	return out
}

// average fills dst, whose rows are packed, from blocks of src. Samples beyond
// the last row or column count as the last.
func average(dst []uint8, stride int, src []uint8, srcStride, k int) {
	if stride == 0 {
		return
	}
	rows := (len(src) + srcStride - 1) / srcStride
	for y := range len(dst) / stride {
		for x := range stride {
			sum := 0
			for j := range k {
				line := min(y*k+j, rows-1) * srcStride
				for i := range k {
					sum += int(src[min(line+min(x*k+i, srcStride-1), len(src)-1)])
				}
			}
			dst[y*stride+x] = uint8((sum + k*k/2) / (k * k))
		}
	}
}

// onPaper lays a picture with transparent parts on white.
func onPaper(img image.Image) image.Image {
	if o, ok := img.(interface{ Opaque() bool }); ok && o.Opaque() {
		return img
	}
	out := image.NewRGBA(image.Rect(0, 0, img.Bounds().Dx(), img.Bounds().Dy()))
	fillWhite(out)
	draw.Draw(out, out.Bounds(), img, img.Bounds().Min, draw.Over)
	return out
}

func fillWhite(img draw.Image) {
	draw.Draw(img, img.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
}

func (s *sheet) picture(number int) picture {
	if p, ok := s.pics[number]; ok {
		return p
	}
	return picture{problem: say.That("report.picture-none")}
}

// unread says that a picture could not be read, and why.
func (s *sheet) unread(p picture) string {
	return s.in.String(say.That("report.unread-picture", say.Saying("why", p.problem)))
}

// fit is the size in mm of a picture within w × h; a small one is not blown up
// beyond 120 dots to the inch.
func fit(p picture, w, h float64) (float64, float64) {
	pw, ph := float64(p.w), float64(p.h)
	k := min(w/pw, h/ph, 25.4/120*2)
	return pw * k, ph * k
}

func (s *sheet) image(p picture, x, y, w, h float64) {
	opt := fpdf.ImageOptions{ImageType: "JPG"}
	s.pdf.RegisterImageOptionsReader(p.name, opt, bytes.NewReader(p.jpeg))
	s.pdf.ImageOptions(p.name, x, y, w, h, false, opt, 0, "")
	s.stroke(hair, 0.15)
	s.pdf.Rect(x, y, w, h, "D")
}

// plates sets pictures in rows over the whole width, each over its caption: two in
// a row, or three where there are more, or four where three would leave one alone.
func (s *sheet) plates(p plates) {
	per := 2
	if n := len(p.photos); n > 2 {
		per = 3
		if n%3 == 1 {
			per = 4
		}
	}
	for i := 0; i < len(p.photos); i += per {
		s.plateRow(p.photos[i:min(i+per, len(p.photos))], per)
	}
}

func (s *sheet) plateRow(row []plate, per int) {
	const gap, most = 4.0, 78.0
	w := (rightX - leftX - gap*float64(per-1)) / float64(per)
	lead := faceSmall.leading(1.35)
	h, captionH := 0.0, 0.0
	captions := make([][]line, len(row))
	for k, one := range row {
		text := one.caption
		if one.cites != "" {
			text += " [" + one.cites + "]"
		}
		if pic := s.picture(one.number); !pic.problem.IsZero() {
			text += " " + s.unread(pic)
		} else {
			_, ph := fit(pic, w, most)
			h = max(h, ph)
		}
		captions[k] = wrap(w, setIn(faceSmall, text)...)
		captions[k] = captions[k][:min(len(captions[k]), 12)]
		captionH = max(captionH, lead*float64(len(captions[k])))
	}
	s.room(h + captionH + 5)
	for k, one := range row {
		x := leftX + (w+gap)*float64(k)
		if pic := s.picture(one.number); pic.problem.IsZero() {
			pw, ph := fit(pic, w, most)
			s.image(pic, x, s.y+h-ph, pw, ph)
		}
		s.lines(x, s.y+h+0.8, w, captions[k], lead, left)
	}
	s.y += h + captionH + 5
}
