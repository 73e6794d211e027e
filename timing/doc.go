// Package timing reads a mechanical watch by ear and judges its running.
//
// In goes the sound of a ticking watch (mono samples at a known sampling rate)
// with the lift angle and, where known, the beat rate of its calibre; out comes
// an Analysis: beats per hour, rate in seconds a day, beat error, amplitude,
// each with a standard error, and their course over time. Readings taken in
// several positions go into Positions, which gives the regulation figures.
//
// The package refuses to give figures for a sound in which no watch is heard,
// and never calls a watch certified: the limits of ISO 3159 are set beside a
// reading as information only. It does not replace a watchmaker.
//
// Methods: Butterworth band-pass filters, envelope, autocorrelation over the
// standard beat rates, a template learned from the recording itself, a robust
// line through odd and even beats, and the half-angle geometry of the lever
// escapement. docs/methods/timing.md has the formulas and their sources.
//
// Read Analyse first, then Positions.
package timing
