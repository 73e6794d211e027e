package photo

import (
	"fmt"
	"image"
	"math/bits"
	"strconv"
)

// Likeness is the gradient hash of a picture: 64 signs, each telling whether one field of a grid of 9 by 8 is darker
// than the next one in its row. Pictures that are one picture at another size, quality or exposure differ in few of
// them (difference hash, a method of common knowledge; no published standard).
type Likeness uint64

// AlikeWithin is in how many of the 64 signs two files of one picture may differ. Two pictures without a common source
// differ in 32 on average with a standard deviation of 4, so that one pair in a million comes this near.
const AlikeWithin = 8

// LikenessOf computes the gradient hash of a picture.
func LikenessOf(img image.Image) Likeness {
	const columns, rows = 9, 8
	b := img.Bounds()
	var grid [rows][columns]float64
	for y := range rows {
		for x := range columns {
			grid[y][x] = meanLight(img, image.Rect(b.Min.X+x*b.Dx()/columns, b.Min.Y+y*b.Dy()/rows,
				b.Min.X+(x+1)*b.Dx()/columns, b.Min.Y+(y+1)*b.Dy()/rows))
		}
	}
	var out Likeness
	for y := range rows {
		for x := range columns - 1 {
			out <<= 1
			if grid[y][x] < grid[y][x+1] {
				out |= 1
			}
		}
	}
	return out
}

// mostSamples bounds how many pixels a side of a field is sampled at.
const mostSamples = 24

// meanLight is the mean luma of a field, sampled evenly.
func meanLight(img image.Image, r image.Rectangle) float64 {
	stepX, stepY := max(1, r.Dx()/mostSamples), max(1, r.Dy()/mostSamples)
	sum, n := 0.0, 0
	for y := r.Min.Y; y < r.Max.Y; y += stepY {
		for x := r.Min.X; x < r.Max.X; x += stepX {
			red, green, blue, _ := img.At(x, y).RGBA()
			sum += 0.299*float64(red) + 0.587*float64(green) + 0.114*float64(blue)
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

// Apart is in how many signs two pictures differ, 0 to 64.
func (l Likeness) Apart(m Likeness) int { return bits.OnesCount64(uint64(l ^ m)) }

// Alike reports whether two files may be of one picture.
func (l Likeness) Alike(m Likeness) bool { return l.Apart(m) <= AlikeWithin }

// String is the hash as 16 hex digits.
func (l Likeness) String() string { return fmt.Sprintf("%016x", uint64(l)) }

// ParseLikeness reads what String wrote.
func ParseLikeness(text string) (Likeness, error) {
	n, err := strconv.ParseUint(text, 16, 64)
	if err != nil || len(text) != 16 {
		return 0, fmt.Errorf("likeness %q: give 16 hex digits", text)
	}
	return Likeness(n), nil
}
