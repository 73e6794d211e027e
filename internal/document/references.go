package document

import (
	"fmt"
	"sort"
	"strings"

	"midcase/estimate"
	"midcase/evidence"
)

// references numbers what the figures rest on, so that a number in the margin
// leads to one line of the list at the end: 1, 2 … evidence; B book; S sales;
// G givens (settings of the shop or of the call).
type references struct {
	lists map[estimate.Source][]string
	index map[estimate.Basis]int
}

var refLetters = []struct {
	source estimate.Source
	letter string
}{{estimate.Evidence, ""}, {estimate.Book, "B"}, {estimate.Sale, "S"}, {estimate.Setting, "G"}}

func newReferences(items []evidence.Item) *references {
	r := &references{lists: map[estimate.Source][]string{}, index: map[estimate.Basis]int{}}
	for _, it := range items {
		r.number(estimate.Basis{Source: estimate.Evidence, ID: string(it.ID)})
	}
	return r
}

// number gives the basis its number, a new one if it has none yet.
func (r *references) number(b estimate.Basis) int {
	if n, ok := r.index[b]; ok {
		return n
	}
	r.lists[b.Source] = append(r.lists[b.Source], b.ID)
	r.index[b] = len(r.lists[b.Source])
	return r.index[b]
}

// cite writes what the ids and bases come to: "1–3, 7, B2".
func (r *references) cite(ids []evidence.ID, bases ...estimate.Basis) string {
	numbers := map[estimate.Source][]int{}
	add := func(b estimate.Basis) {
		if b.ID != "" {
			numbers[b.Source] = append(numbers[b.Source], r.number(b))
		}
	}
	for _, id := range ids {
		add(estimate.Basis{Source: estimate.Evidence, ID: string(id)})
	}
	for _, b := range bases {
		add(b)
	}
	var parts []string
	for _, l := range refLetters {
		parts = append(parts, runs(numbers[l.source], l.letter)...)
	}
	return strings.Join(parts, ", ")
}

// runs joins neighbouring numbers: 1, 2, 3, 7 becomes "1–3", "7".
func runs(n []int, letter string) []string {
	n = append([]int(nil), n...)
	sort.Ints(n)
	var out []string
	for i := 0; i < len(n); {
		j := i
		for j+1 < len(n) && n[j+1] <= n[j]+1 {
			j++
		}
		switch a, b := n[i], n[j]; {
		case a == b:
			out = append(out, fmt.Sprintf("%s%d", letter, a))
		case a+1 == b:
			out = append(out, fmt.Sprintf("%s%d", letter, a), fmt.Sprintf("%s%d", letter, b))
		default:
			out = append(out, fmt.Sprintf("%s%d–%s%d", letter, a, letter, b))
		}
		i = j + 1
	}
	return out
}

// join puts citations together without saying one twice.
func join(cites ...string) string {
	var out []string
	seen := map[string]bool{}
	for _, c := range cites {
		for _, one := range strings.Split(c, ", ") {
			if one != "" && !seen[one] {
				seen[one] = true
				out = append(out, one)
			}
		}
	}
	return strings.Join(out, ", ")
}
