package book

import (
	"fmt"
	"sort"

	"midcase/internal/web/pages/wording"
	"midcase/refbook"
)

func family(m refbook.Maker, id string) string {
	if f, ok := m.Family(id); ok {
		return f.Name
	}
	return wording.Underscored(id)
}

func sortedKeys(m map[string]string) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

func works(w refbook.Window) string {
	if w.Works == "" {
		return ""
	}
	return ", by " + w.Works
}

func tolerance(d refbook.Dimension) float64 {
	if d.ToleranceMM == 0 {
		return 0.1
	}
	return d.ToleranceMM
}

func spoken(d refbook.Dimension) string {
	if d.SpokenMM == 0 {
		return "–"
	}
	return fmt.Sprintf("%.0f", d.SpokenMM)
}

func source(a refbook.Anchor, s refbook.Serial) string {
	if a.Source != "" {
		return a.Source
	}
	return s.Source
}
