// Package photo reads lengths and colours from a picture of a watch.
//
// In goes a decoded, upright picture in sRGB (image.Image) with Picks, the places
// that a person pointed at: what gives the scale, the ends of a length, some points
// of a circle, the edge of the dial, a grey card. Out come figures with their
// uncertainty: Measure gives lengths and diameters in mm with 90 % intervals, Plots
// the colour of each luminous plot and how odd it is among the others, Overlay lays
// one dial on another and lists where they differ.
//
// Pixels are counted from the top left of the picture; the middle of the first pixel
// is (0.5, 0.5). The picture is sampled only where it is needed and never copied
// whole.
//
// The package refuses to measure without a scale, with points that give none, or
// outside the picture, and names the field at fault (PickError). It does not decide
// that a part was replaced or polished: it says how likely a difference is by even
// ageing and noise, and a person looks. Luminous mass may be radioactive: it is to be
// judged from pictures and never to be scraped or opened without licensed practice.
//
// Methods: normalised direct linear transform (Hartley and Zisserman 2004), direct
// and geometric fits of circles and ellipses (Halir and Flusser 1998; Gander, Golub
// and Strebel 1994), CIELAB (CIE 15) and CIEDE2000 (Sharma, Wu and Dalal 2005),
// inverse compositional image alignment (Baker and Matthews 2004). docs/methods/photo.md
// has the formulas and what is known to fail.
//
// Read Measure first, then Plots.
package photo
