package tables_test

import (
	"testing"

	"midcase/tables"
)

// A coating is no metal, two metals are not one, and karats are heard as they are. Trade words: common practice, no
// published source.
func TestMetalsInWords(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"gold filled": "gold_filled", "14K gold filled": "gold_filled", "rolled gold plate": "gold_filled",
		"gold plated": "gold_plated", "18K gold plated 20 microns": "gold_plated", "vergoldet": "gold_plated",
		"plaqué or": "gold_plated", "laminato oro": "gold_plated", "gold-capped": "gold_plated",
		"steel/gold": "two_tone", "steel and gold": "two_tone", "Stahl/Gold": "two_tone", "acier et or": "two_tone",
		"9ct gold": "gold9", "9k": "gold9", "10K gold": "gold10", "14 ct": "gold14", "18k gold": "gold18",
		"18 ct gold": "gold18", "750": "gold18", "white gold": "gold18_white", "stainless steel": "steel",
	} {
		if id, ok := tables.MetalNamed(text); !ok || id != want {
			t.Errorf("%q is taken for %q, %v; want %s", text, id, ok, want)
		}
	}
}
