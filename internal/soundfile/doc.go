// Package soundfile reads recordings: WAV, FLAC and MP3, told from their first bytes,
// as mono blocks for package timing.
//
// In goes a reader; out come the sampling rate and the samples of one channel from
// -1 to 1, block by block, so that memory does not grow with the recording. Of two
// channels the better one for a ticking watch is taken; Sound.Channel says which and
// better.go by what rule.
//
// The package refuses what it cannot read whole: another kind of file, a file that
// is cut short, more than two channels, a sampling rate outside 8 to 192 kHz, samples
// that are no numbers, fewer than 5 s or more than 30 min. Damaged bytes give an
// error, never a panic. A file of zeros only is a good file: package timing says of it
// that nothing is heard. An MP3 file does not say how long it should be, so that one
// cut short reads as a shorter recording.
//
// Formats: Multimedia Programming Interface and Data Specifications 1.0 (1991) for
// RIFF WAVE; RFC 9639 for FLAC; ISO/IEC 11172-3 and 13818-3 for MP3. FLAC and MP3 are
// decoded by libraries.
//
// Read Open first.
package soundfile
