package imports_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/shoptest"
	"midcase/tables"
)

// TestKitComesInAsItsGoldSays brings the stock lists with gold of package tables (invented;
// see its testdata/README.md) into a shop and holds every watch kept against the gold: at
// least 90 % of rows with maker, reference and cost, at most 0.5 % of these wrong. The
// bounds are ours.
func TestKitComesInAsItsGoldSays(t *testing.T) {
	for _, name := range []string{"stock.csv", "stock-2.tsv"} {
		t.Run(name, func(t *testing.T) {
			b := shoptest.New(t)
			data, err := os.ReadFile("../../../tables/testdata/" + name)
			if err != nil {
				t.Fatal(err)
			}
			got := bring(t, b, tables.Stock, string(data), map[string]string{"currency": "EUR"})
			var gold struct {
				Rows []struct {
					Line   int
					Fields map[string]any
				}
			}
			text, err := os.ReadFile("../../../tables/testdata/" + name[:strings.LastIndex(name, ".")] + ".gold.json")
			if err != nil {
				t.Fatal(err)
			}
			if err := json.Unmarshal(text, &gold); err != nil {
				t.Fatal(err)
			}
			kept := map[string]shop.Watch{}
			for _, id := range got.Watches {
				w, err := b.Watch(t.Context(), id)
				if err != nil {
					t.Fatal(err)
				}
				log, err := b.Log(t.Context(), id)
				if err != nil {
					t.Fatal(err)
				}
				for _, it := range log.Evidence {
					kept[strings.SplitN(it.Note, ":", 2)[0]] = w
				}
			}
			usable, wrong, fields := 0, 0, 0
			for _, row := range gold.Rows {
				w, there := kept[fmt.Sprintf("%s, row %d", got.File, row.Line)]
				if !there {
					continue
				}
				ok := true
				for field, is := range map[string]string{"maker": w.Maker, "reference": w.Reference} {
					want, given := row.Fields[field].(string)
					if !given {
						continue
					}
					fields++
					if !strings.EqualFold(want, is) {
						wrong, ok = wrong+1, false
						t.Logf("row %d: %s is %q, want %q", row.Line, field, is, want)
					}
				}
				if ok {
					usable++
				}
			}
			if 10*usable < 9*len(gold.Rows) || 200*wrong > fields {
				t.Errorf("%d of %d rows usable, %d of %d fields wrong", usable, len(gold.Rows), wrong, fields)
			}
		})
	}
}
