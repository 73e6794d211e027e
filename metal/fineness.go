package metal

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// The precious elements.
const (
	Gold      = "gold"
	Silver    = "silver"
	Platinum  = "platinum"
	Palladium = "palladium"
)

// ErrInput is wrapped by every error about what went in; the text names the field.
var ErrInput = errors.New("metal")

func bad(field string, found any, want string) error {
	return fmt.Errorf("%w: %s: %v: want %s", ErrInput, field, found, want)
}

func within(field string, x, low, high float64, want string) error {
	if math.IsNaN(x) || x < low || x > high {
		return bad(field, x, want)
	}
	return nil
}

// Standard is a standard of fineness: the least share of the element by mass, with
// no tolerance below it (ISO 9202).
type Standard struct {
	Element  string
	Permille int
	Karat    float64 // of gold, as the trade says it; 0 where it is not said
	Source   string
}

const (
	legal  = "legal standard of the United Kingdom, from the hallmarking convention's country page"
	memory = "in use, from memory of ISO 9202 and of national law"
	zarist = "zolotniks of 96 in the pound, Russia until 1927; later Soviet marks in thousandths; from memory"
	lot    = "lots of 16 in the mark, German lands until 1888; from memory"
	custom = "common practice, no published source"
)

// Standards lists the standards of fineness by element, lowest first.
func Standards() []Standard {
	return []Standard{
		{Gold, 333, 8, memory}, {Gold, 375, 9, legal}, {Gold, 417, 10, memory}, {Gold, 500, 12, memory},
		{Gold, 583, 0, zarist}, {Gold, 585, 14, legal}, {Gold, 625, 15, memory},
		{Gold, 750, 18, legal}, {Gold, 833, 20, memory}, {Gold, 875, 21, memory}, {Gold, 900, 0, custom},
		{Gold, 916, 22, legal}, {Gold, 958, 23, zarist}, {Gold, 990, 0, legal}, {Gold, 999, 24, legal},
		{Silver, 800, 0, legal}, {Silver, 813, 0, lot},
		{Silver, 830, 0, memory}, {Silver, 833, 0, memory}, {Silver, 835, 0, memory}, {Silver, 875, 0, zarist},
		{Silver, 900, 0, memory}, {Silver, 916, 0, zarist},
		{Silver, 925, 0, legal}, {Silver, 935, 0, memory}, {Silver, 950, 0, memory},
		{Silver, 958, 0, legal}, {Silver, 999, 0, legal},
		{Platinum, 850, 0, legal}, {Platinum, 900, 0, legal}, {Platinum, 950, 0, legal}, {Platinum, 999, 0, legal},
		{Palladium, 500, 0, legal}, {Palladium, 950, 0, legal}, {Palladium, 999, 0, legal},
	}
}

// IsStandard reports whether the element is marked at that fineness.
func IsStandard(element string, permille int) bool {
	for _, s := range Standards() {
		if s.Element == element && s.Permille == permille {
			return true
		}
	}
	return false
}

// SameFineness reports whether two finenesses are spellings of one standard: 583 and 585
// are both 14 karat, 916 and 917 both 22, 416 and 417 both 10, 755 an older Swiss 18
// karat. Common practice, no published source.
func SameFineness(a, b int) bool {
	for _, one := range [][]int{{583, 585}, {916, 917}, {416, 417}, {750, 752, 755}, {812, 813}} {
		if slices.Contains(one, a) && slices.Contains(one, b) {
			return true
		}
	}
	return a == b
}

// PermilleOfKarat is the exact share of gold in ‰, 1000·k/24: 18 → 750, 14 →
// 583.33. It errs outside 0 < k ≤ 24.
func PermilleOfKarat(karat float64) (float64, error) {
	if !(karat > 0 && karat <= 24) {
		return 0, bad("karat", karat, "more than 0 and at most 24")
	}
	return 1000 * karat / 24, nil
}

// KaratOfPermille is the exact karat of a share of gold in ‰, 24·f/1000.
func KaratOfPermille(permille float64) (float64, error) {
	if !(permille > 0 && permille <= 1000) {
		return 0, bad("fineness", permille, "more than 0 and at most 1000 ‰")
	}
	return 24 * permille / 1000, nil
}

// MarkOfKarat is the fineness mark that goes with a karat: 9 → 375, 14 → 585, 18 →
// 750. The mark may lie a little above the exact share (14 k is 583.3 ‰ and marked
// 585). It errs on a karat that has no standard.
func MarkOfKarat(karat float64) (int, error) {
	for _, s := range Standards() {
		if s.Element == Gold && s.Karat > 0 && s.Karat == karat {
			return s.Permille, nil
		}
	}
	return 0, bad("karat", karat, "8, 9, 10, 12, 14, 15, 18, 20, 21, 22, 23 or 24")
}
