// Package draw makes pictures of invented watches that look like photographs
// and are correct in scale.
//
// In goes a Watch (sizes in millimetres, metal, dial, plots, hands, wear) and a
// Shot (size of the picture, millimetres per pixel, tilt, light, noise, blur);
// out comes an *image.RGBA and, from TruthOf, where every part of it lies in
// pixels and which colours its luminous plots truly have. The measuring tests
// hold their figures against that truth.
//
// Outlines are projected by a pinhole camera without lens distortion and then
// rasterised (golang.org/x/image/vector), so that edges are exact at any tilt and
// nothing is resampled. The same Watch, Shot and seed give the same bytes.
//
// All makers' names are invented, and no part copies a real maker's design.
//
// Read Front first.
package draw
