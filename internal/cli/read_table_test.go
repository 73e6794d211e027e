package cli

import (
	"bytes"
	"testing"
	"time"

	"midcase/tables"
)

// A reading that is written row by row is what it is written whole.
func TestReadingRowByRow(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"rows": "Maker;Ref;Paid;Notes\nOrbenau;T 218;900 EUR;case <polished> & \"rows\": []\n" +
			"Orbenau;T 219;;crown replaced\n",
		"no rows": "Maker;Ref;Paid;Notes\n",
	} {
		now := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
		r, err := tables.Read([]byte(text), tables.Stock, tables.Options{Now: now})
		if err != nil {
			t.Fatal(err)
		}
		var whole, byRow bytes.Buffer
		if err := writeJSON(&whole, r); err != nil {
			t.Fatal(err)
		}
		if err := writeReading(&byRow, r); err != nil || byRow.String() != whole.String() {
			t.Errorf("%s: %v\n%s; want\n%s", name, err, byRow.String(), whole.String())
		}
	}
}
