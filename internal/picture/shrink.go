package picture

import "image"

// shrunk is a picture made smaller by a whole factor, the mean of every field, so that it stays at least twice as large
// as wanted: most of the work of scaling a photograph down, done in its own planes. Other kinds come back as they are.
func shrunk(img image.Image, side int) image.Image {
	src, ok := img.(*image.YCbCr)
	if !ok {
		return img
	}
	w, h := src.Rect.Dx(), src.Rect.Dy()
	k := max(w, h) / (2 * side)
	if k < 2 || src.Rect.Min != (image.Point{}) {
		return img
	}
	out := image.NewYCbCr(image.Rect(0, 0, (w+k-1)/k, (h+k-1)/k), src.SubsampleRatio)
	shrinkPlane(plane{out.Y, out.YStride}, plane{src.Y, src.YStride}, w, h, k)
	cw, ch := w, h
	switch src.SubsampleRatio {
	case image.YCbCrSubsampleRatio420:
		cw, ch = (w+1)/2, (h+1)/2
	case image.YCbCrSubsampleRatio422:
		cw = (w + 1) / 2
	case image.YCbCrSubsampleRatio440:
		ch = (h + 1) / 2
	case image.YCbCrSubsampleRatio444:
	default:
		return img
	}
	shrinkPlane(plane{out.Cb, out.CStride}, plane{src.Cb, src.CStride}, cw, ch, k)
	shrinkPlane(plane{out.Cr, out.CStride}, plane{src.Cr, src.CStride}, cw, ch, k)
	return out
}

// plane is one channel of a picture.
type plane struct {
	pix    []uint8
	stride int
}

// shrinkPlane fills to with the means of fields of k by k; at the right and lower edge fields are cut, and where the
// chroma of an odd size has one column or row more than fields, the last one is repeated.
func shrinkPlane(to, from plane, w, h, k int) {
	rows := len(to.pix) / to.stride
	sums := make([]uint32, to.stride)
	for y := range rows {
		clear(sums)
		top := min(y*k, h-1)
		bottom := min(top+k, h)
		for v := top; v < bottom; v++ {
			row := from.pix[v*from.stride:][:w]
			for x := range sums {
				left := min(x*k, w-1)
				for _, p := range row[left:min(left+k, w)] {
					sums[x] += uint32(p)
				}
			}
		}
		for x := range sums {
			left := min(x*k, w-1)
			n := uint32((min(left+k, w) - left) * (bottom - top))
			to.pix[y*to.stride+x] = uint8((sums[x] + n/2) / n)
		}
	}
}
