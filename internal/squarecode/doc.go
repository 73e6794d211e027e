// Package squarecode sets a short text as a square code that a phone reads (QR code, ISO/IEC 18004), for papers and
// labels.
//
// In goes a text; out come the dark runs of each row, which paper draws as rectangles, or an SVG for a page. A
// quiet margin of four modules, which the standard asks for, is part of the measure. Nothing is drawn here but
// squares: no emblem, no colour. Of a text that is too long for a code there is none.
//
// Read Encode.
package squarecode
