// Package picture opens the pictures that people hand in, carefully: the kind is
// told from the bytes, not from the name; the size is read from the header and
// refused before a single pixel is decoded if it is beyond what a camera makes; a
// picture that is cut short or broken is an error that says so.
//
// What goes in: bytes of a JPEG, PNG, WebP, AVIF, HEIC or TIFF file. What comes out: its
// Info, an upright image, or a small upright JPEG without any of the file's metadata
// (so that no place or serial number of a camera leaves the shop).
//
// It changes nothing of the watch in a picture: no sharpening, no retouching.
//
// Read Inspect first. JPEG orientation is read with github.com/bep/imagemeta.
package picture
