package condition

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the tables of docs/methods/condition.md")

const (
	document = "../docs/methods/condition.md"
	begin    = "<!-- tables: written from terms.json and rubric.json by `go test ./condition -run TestDocument -update` -->\n"
)

// The published page holds exactly the data that the program grades by.
func TestDocument(t *testing.T) {
	page, err := os.ReadFile(document)
	if err != nil {
		t.Fatal(err)
	}
	head, tables, ok := bytes.Cut(page, []byte(begin))
	if !ok {
		t.Fatalf("%s has no line %q", document, begin)
	}
	want := documentTables()
	if *update {
		if err := os.WriteFile(document, append(append(head, begin...), want...), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if string(tables) != want {
		t.Errorf("%s differs from the data; run the test with -update", document)
	}
}

func documentTables() string {
	var b strings.Builder
	r := PublishedRubric()
	fmt.Fprintf(&b, "\n## Numbers\n\n| | |\n| --- | --- |\n")
	for _, row := range []struct {
		name  string
		value any
	}{
		{"start, of which faults take away", r.Start}, {"top, with good points", r.Top}, {"lowest grade", r.Lowest},
		{"weight of each further deduction or good point", r.Diminish},
		{"factor at extent near 0; the least where it is not stated", r.ExtentLow},
		{"factor at extent 1; the most where it is not stated", r.ExtentHigh},
		{"exponent of the mean over slots", r.Exponent},
		{"highest grade with 0, 1, 2 … things that speak well of it", r.Ceiling},
		{"how far below it may be, with 0, 1, 2 … things recorded", r.Hidden},
		{"graders differ by ±", r.Judged},
		{"reach towards the ends of the slots: down, up", fmt.Sprintf("%g, %g", r.ReachDown, r.ReachUp)},
		{"held down by: least effect named", r.HeldByAtLeast},
	} {
		fmt.Fprintf(&b, "| %s | %v |\n", row.name, row.value)
	}
	fmt.Fprintf(&b, "\n## Words for grades\n\n| grade | words |\n| --- | --- |\n")
	for g := 10; g >= 1; g-- {
		fmt.Fprintf(&b, "| %d | %s |\n", g, GradeWords(float64(g)).String())
	}
	fmt.Fprintf(&b, "\n## Weights of slots\n\n| slot | weight |\n| --- | --- |\n")
	for _, s := range Slots() {
		fmt.Fprintf(&b, "| %s | %g |\n", slotName(s), r.Weights[s])
	}
	fmt.Fprintf(&b,
		"\n## Measurements\n\nPoints lie on straight lines between the pairs given, flat outside.\n\n| kind | slot | unit | value → points |\n| --- | --- | --- | --- |\n")
	for _, m := range r.Measures {
		var pairs []string
		for _, c := range m.Curve {
			pairs = append(pairs, fmt.Sprintf("%g → %g", c[0], c[1]))
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", m.Kind, slotName(m.Slot), m.Unit, strings.Join(pairs, ", "))
	}
	goodTable(&b)
	defectTable(&b)
	return b.String()
}

func goodTable(b *strings.Builder) {
	fmt.Fprintf(b,
		"\n## Good points (severity 0)\n\n| term | said of | meaning | lifts | not beside |\n| --- | --- | --- | --- | --- |\n")
	for _, t := range Terms() {
		if t.Good {
			fmt.Fprintf(b, "| %s `%s` | %s | %s | %g | %s |\n", t.Name, t.ID, slotNames(t.Slots), t.Definition,
				t.Lift, strings.Join(t.Conflicts, ", "))
		}
	}
}

func defectTable(b *strings.Builder) {
	fmt.Fprintf(b,
		"\n## Defects\n\nFor each severity: what it means, the points it takes, and the highest grade that it leaves (≤) where there is one.\n\n")
	fmt.Fprintf(b, "| term | said of | meaning | 1 | 2 | 3 | 4 |\n| --- | --- | --- | --- | --- | --- | --- |\n")
	for _, t := range Terms() {
		if t.Good {
			continue
		}
		fmt.Fprintf(b, "| %s `%s` | %s | %s |", t.Name, t.ID, slotNames(t.Slots), t.Definition)
		for s := 1; s <= 4; s++ {
			fmt.Fprintf(b, " %s: −%g", t.Severity[s], t.Points[s])
			if t.Cap[s] > 0 {
				fmt.Fprintf(b, ", ≤ %g", t.Cap[s])
			}
			b.WriteString(" |")
		}
		b.WriteString("\n")
	}
}

func slotNames(slots []string) string {
	var names []string
	for _, s := range slots {
		names = append(names, slotName(s))
	}
	return strings.Join(names, ", ")
}
