package demo

import (
	"flag"
	"fmt"
	"os"
	"sort"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the tables of docs/demo-world.md from the code")

const (
	docPath  = "../../docs/demo-world.md"
	docBegin = "<!-- tables -->\n"
	docEnd   = "<!-- end of tables -->"
)

// docTables are the tables of the documented truth as the code has them.
func docTables() string {
	var b strings.Builder
	line := func(title string, m map[string]float64) {
		keys := make([]string, 0, len(m))
		for k := range m {
			keys = append(keys, k)
		}
		sort.Strings(keys)
		for i, k := range keys {
			keys[i] = fmt.Sprintf("%s %g", k, m[k])
		}
		fmt.Fprintf(&b, "%s: %s.\n\n", title, strings.Join(keys, ", "))
	}
	b.WriteString("\n")
	line("Maker", makerEffect)
	line("Family", familyEffect)
	line("Dial", dialEffect)
	line("Completeness", completenessEffect)
	line("Country", countryEffect)
	b.WriteString("| venue | basis | effect | share of sales |\n| --- | --- | --- | --- |\n")
	for _, c := range channels {
		fmt.Fprintf(&b, "| %s | %s | %g | %g |\n", c.venue, c.basis, c.effect, c.share)
	}
	b.WriteString("\nSales fall off with the rank of a reference (rank to the power −0.85, times the share where it is rarer still).\n\n")
	b.WriteString("| reference | effect | scale | rank | share |\n| --- | --- | --- | --- | --- |\n")
	keys := make([]string, 0, len(referenceMarket))
	for k := range referenceMarket {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool { return referenceMarket[keys[i]].rank < referenceMarket[keys[j]].rank })
	for _, k := range keys {
		m := referenceMarket[k]
		fmt.Fprintf(&b, "| %s | %g | %.3f | %d | %g |\n", k, m.effect, m.scale(), m.rank, m.rare)
	}
	b.WriteString("\n| index: year | logarithm |\n| --- | --- |\n")
	for _, k := range indexKnots {
		fmt.Fprintf(&b, "| %g | %g |\n", k[0], k[1])
	}
	b.WriteString("\n| planted in the sales | rows |\n| --- | --- |\n")
	for _, p := range plantedCount {
		fmt.Fprintf(&b, "| `%s` | %d |\n", p.what, p.n)
	}
	b.WriteString("\n")
	return b.String()
}

func TestDocumentedTruthIsTheCodes(t *testing.T) {
	raw, err := os.ReadFile(docPath)
	if err != nil {
		t.Fatal(err)
	}
	doc := string(raw)
	begin, end := strings.Index(doc, docBegin), strings.Index(doc, docEnd)
	if begin < 0 || end < begin {
		t.Fatalf("%s: the marks around the tables are gone", docPath)
	}
	begin += len(docBegin)
	if *update {
		if err := os.WriteFile(docPath, []byte(doc[:begin]+docTables()+doc[end:]), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if doc[begin:end] != docTables() {
		t.Errorf("%s does not say what the code does; run go test ./internal/demo -update", docPath)
	}
}
