package document

import (
	"encoding/binary"
	"fmt"
	"math"
	"sort"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The PDF library embeds fonts with TrueType outlines only, and the text serif
// comes with PostScript outlines (cubic curves). trueType writes such a font
// anew with quadratic curves, which is how TrueType draws; all that measures the
// letters is carried over as it is.

// outlineTolerance is how far, in font units of 1/1000 em, a quadratic curve may
// lie from the cubic one: under 0.002 mm at the largest size that is set.
const outlineTolerance = 0.5

// inSerif reports whether a letter's outline is carried over. Others are set in
// the wide font.
func inSerif(r rune) bool {
	for _, span := range [][2]rune{{0x20, 0x24F}, {0x300, 0x36F}, {0x370, 0x52F}, {0x1E00, 0x1EFF}, {0x2000, 0x206F}, {0x2070, 0x20BF}, {0x2100, 0x214F}, {0x2212, 0x2212}, {0xFB00, 0xFB06}} {
		if r >= span[0] && r <= span[1] {
			return true
		}
	}
	return false
}

func trueType(otf []byte) ([]byte, error) {
	f, err := sfnt.Parse(otf)
	if err != nil {
		return nil, fmt.Errorf("font: %w", err)
	}
	tables, err := sfntTables(otf)
	if err != nil {
		return nil, err
	}
	n := f.NumGlyphs()
	wanted := make([]bool, n)
	wanted[0] = true
	var buf sfnt.Buffer
	for r := rune(0x20); r < 0x10000; r++ {
		if !inSerif(r) {
			continue
		}
		if i, err := f.GlyphIndex(&buf, r); err == nil {
			wanted[i] = true
		}
	}
	var glyf []byte
	loca := make([]byte, 0, 4*(n+1))
	most := outlineSize{}
	for i := range n {
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		if !wanted[i] {
			continue
		}
		segs, err := f.LoadGlyph(&buf, sfnt.GlyphIndex(i), fixed.I(int(f.UnitsPerEm())), nil)
		if err != nil {
			return nil, fmt.Errorf("font: glyph %d: %w", i, err)
		}
		g, size := simpleGlyph(contours(segs))
		glyf = append(glyf, g...)
		most.points, most.contours = max(most.points, size.points), max(most.contours, size.contours)
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
	out := map[string][]byte{"glyf": glyf, "loca": loca, "maxp": maxp(n, most)}
	for _, name := range []string{"head", "hhea", "hmtx", "cmap", "name", "OS/2", "post"} {
		if len(tables[name]) == 0 {
			return nil, fmt.Errorf("font: no table %s", name)
		}
		out[name] = append([]byte(nil), tables[name]...)
	}
	binary.BigEndian.PutUint16(out["head"][50:], 1) // long offsets in loca
	return writeTables(out), nil
}

type outlineSize struct{ points, contours int }

// maxp is the table of limits, in its TrueType form.
func maxp(glyphs int, most outlineSize) []byte {
	b := make([]byte, 32)
	binary.BigEndian.PutUint32(b, 0x00010000)
	for i, v := range []int{glyphs, most.points, most.contours, 0, 0, 2} {
		binary.BigEndian.PutUint16(b[4+2*i:], uint16(v))
	}
	return b
}

// sfntTables cuts a font file into its tables.
func sfntTables(b []byte) (map[string][]byte, error) {
	if len(b) < 12 {
		return nil, fmt.Errorf("font: cut short")
	}
	out := map[string][]byte{}
	for i := range int(binary.BigEndian.Uint16(b[4:])) {
		at := 12 + 16*i
		if at+16 > len(b) {
			return nil, fmt.Errorf("font: cut short in its list of tables")
		}
		from, length := int(binary.BigEndian.Uint32(b[at+8:])), int(binary.BigEndian.Uint32(b[at+12:]))
		if from < 0 || length < 0 || from+length > len(b) {
			return nil, fmt.Errorf("font: table %q lies outside the file", b[at:at+4])
		}
		out[string(b[at:at+4])] = b[from : from+length]
	}
	return out, nil
}

// writeTables writes a TrueType file. The PDF library reads no checksums, so none
// are worked out.
func writeTables(tables map[string][]byte) []byte {
	var names []string
	for n := range tables {
		names = append(names, n)
	}
	sort.Strings(names)
	b := binary.BigEndian.AppendUint32(nil, 0x00010000)
	b = binary.BigEndian.AppendUint16(b, uint16(len(names)))
	b = append(b, make([]byte, 6)...)
	at := 12 + 16*len(names)
	var body []byte
	for _, n := range names {
		b = append(b, n...)
		b = binary.BigEndian.AppendUint32(b, 0)
		b = binary.BigEndian.AppendUint32(b, uint32(at+len(body)))
		b = binary.BigEndian.AppendUint32(b, uint32(len(tables[n])))
		body = append(body, tables[n]...)
		for len(body)%4 != 0 {
			body = append(body, 0)
		}
	}
	return append(b, body...)
}

type outlinePoint struct {
	x, y float64
	on   bool
}

// contours turns the segments of a glyph into closed contours of quadratic
// curves, y upwards.
func contours(segs sfnt.Segments) [][]outlinePoint {
	var out [][]outlinePoint
	var c []outlinePoint
	var at outlinePoint
	point := func(p fixed.Point26_6) outlinePoint {
		return outlinePoint{float64(p.X) / 64, -float64(p.Y) / 64, true}
	}
	flush := func() {
		if n := len(c); n > 1 && c[n-1].on && c[0].x == c[n-1].x && c[0].y == c[n-1].y {
			c = c[:n-1]
		}
		if len(c) > 1 {
			out = append(out, c)
		}
		c = nil
	}
	for _, s := range segs {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			flush()
			at = point(s.Args[0])
			c = append(c, at)
		case sfnt.SegmentOpLineTo:
			at = point(s.Args[0])
			c = append(c, at)
		case sfnt.SegmentOpQuadTo:
			q := point(s.Args[0])
			q.on = false
			at = point(s.Args[1])
			c = append(c, q, at)
		case sfnt.SegmentOpCubeTo:
			end := point(s.Args[2])
			c = append(c, quadratics(at, point(s.Args[0]), point(s.Args[1]), end)...)
			at = end
		}
	}
	flush()
	return out
}

// quadratics cuts a cubic curve into as many equal steps as the tolerance needs and
// puts a quadratic curve in place of each. The distance of the best quadratic curve
// with the same ends is √3/36 · |p3 − 3 p2 + 3 p1 − p0|, and shrinks with the cube
// of the number of steps.
func quadratics(p0, p1, p2, p3 outlinePoint) []outlinePoint {
	d := math.Hypot(p3.x-3*p2.x+3*p1.x-p0.x, p3.y-3*p2.y+3*p1.y-p0.y) * math.Sqrt(3) / 36
	n := max(1, int(math.Ceil(math.Cbrt(d/outlineTolerance))))
	at := func(t float64) (x, y, dx, dy float64) {
		u := 1 - t
		x = u*u*u*p0.x + 3*u*u*t*p1.x + 3*u*t*t*p2.x + t*t*t*p3.x
		y = u*u*u*p0.y + 3*u*u*t*p1.y + 3*u*t*t*p2.y + t*t*t*p3.y
		dx = 3 * (u*u*(p1.x-p0.x) + 2*u*t*(p2.x-p1.x) + t*t*(p3.x-p2.x))
		dy = 3 * (u*u*(p1.y-p0.y) + 2*u*t*(p2.y-p1.y) + t*t*(p3.y-p2.y))
		return
	}
	var out []outlinePoint
	h := 1 / float64(n)
	for k := range n {
		ax, ay, adx, ady := at(float64(k) * h)
		bx, by, bdx, bdy := at(float64(k+1) * h)
		// The control point that a cubic piece with these ends and tangents comes to:
		// (3 (c1 + c2) − a − b) / 4, with c1 = a + h·a′/3 and c2 = b − h·b′/3.
		out = append(out, outlinePoint{(ax+bx)/2 + h*(adx-bdx)/4, (ay+by)/2 + h*(ady-bdy)/4, false}, outlinePoint{bx, by, true})
	}
	return out
}

// simpleGlyph writes contours as a glyph of the glyf table.
func simpleGlyph(cs [][]outlinePoint) ([]byte, outlineSize) {
	if len(cs) == 0 {
		return nil, outlineSize{}
	}
	var flags, xs, ys, ends []byte
	box := [4]int{math.MaxInt16, math.MaxInt16, math.MinInt16, math.MinInt16}
	lastX, lastY, count := 0, 0, 0
	for _, c := range cs {
		for _, p := range c {
			x, y := int(math.Round(p.x)), int(math.Round(p.y))
			box = [4]int{min(box[0], x), min(box[1], y), max(box[2], x), max(box[3], y)}
			var flag byte
			if p.on {
				flag = 1
			}
			xs, flag = delta(xs, x-lastX, flag, 2, 16)
			ys, flag = delta(ys, y-lastY, flag, 4, 32)
			flags = append(flags, flag)
			lastX, lastY = x, y
			count++
		}
		ends = binary.BigEndian.AppendUint16(ends, uint16(count-1))
	}
	b := binary.BigEndian.AppendUint16(nil, uint16(len(cs)))
	for _, v := range box {
		b = binary.BigEndian.AppendUint16(b, uint16(int16(v)))
	}
	b = append(b, ends...)
	b = append(b, 0, 0) // no instructions
	b = append(append(append(b, flags...), xs...), ys...)
	for len(b)%4 != 0 {
		b = append(b, 0)
	}
	return b, outlineSize{count, len(cs)}
}

// delta writes one step of a coordinate in its shortest form: nothing where it is
// zero, a byte with its sign in the flag, or two bytes.
func delta(b []byte, d int, flag, short, same byte) ([]byte, byte) {
	switch {
	case d == 0:
		return b, flag | same
	case d > -256 && d < 256:
		if d > 0 {
			return append(b, byte(d)), flag | short | same
		}
		return append(b, byte(-d)), flag | short
	}
	return binary.BigEndian.AppendUint16(b, uint16(int16(d))), flag
}
