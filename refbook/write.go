package refbook

import "github.com/goccy/go-yaml"

// Small entries are written on one line each, as people write them by hand: a line is what a difference between
// two versions of the book shows, and what the edits of this package look for.

// MarshalYAML writes a window on one line.
func (w Window) MarshalYAML() ([]byte, error) {
	type plain Window
	return inLine(plain(w))
}

// MarshalYAML writes a pair of number and month on one line.
func (a Anchor) MarshalYAML() ([]byte, error) {
	type plain Anchor
	return inLine(plain(a))
}

// MarshalYAML writes a size on one line.
func (d Dimension) MarshalYAML() ([]byte, error) {
	type plain Dimension
	return inLine(plain(d))
}

// MarshalYAML writes a weight on one line.
func (w Weight) MarshalYAML() ([]byte, error) {
	type plain Weight
	return inLine(plain(w))
}

// MarshalYAML writes a metal on one line.
func (m Metal) MarshalYAML() ([]byte, error) {
	type plain Metal
	return inLine(plain(m))
}

// MarshalYAML writes a family on one line.
func (f Family) MarshalYAML() ([]byte, error) {
	type plain Family
	return inLine(plain(f))
}

func inLine(v any) ([]byte, error) { return yaml.MarshalWithOptions(v, yaml.Flow(true)) }
