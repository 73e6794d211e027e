package market

import (
	"cmp"
	"midcase/market/algebra"
	"midcase/market/table"
	"slices"
	"strings"
)

// nodeIndex is the tree of names: market, maker, family, reference, variant.
type nodeIndex struct {
	name   []string // as spelled; a variant's is "dial, metal"
	parent []int32
	level  []uint8
	count  []int // sales below
	by     []map[string]int32
	metal  []string // of each reference: the metal that nearly all its sales have
}

// child finds the child of a node by name.
func (x *nodeIndex) child(v int32, name string) (int32, bool) {
	c, ok := x.by[v][table.Fold(name)]
	return c, ok
}

type refKey struct{ maker, ref uint32 }

type variantKey struct {
	ref         int32
	dial, metal uint32
}

// naming collects the references and variants of the rows, by folded names.
type naming struct {
	makers, refs, fams, dials, metals canonical

	refID   map[refKey]int32
	ref     []refKey
	id      map[variantKey]int32
	variant []variantKey
	sales   []int // of each variant
	// Sales by reference and family, and by reference and metal.
	famCount, metalCount map[[2]uint32]int
}

// collect gives the variant of each row.
func (n *naming) collect(t *table.Table, rows []prepared) []int32 {
	out := make([]int32, len(rows))
	cache := map[[5]uint32]int32{} // by spelling
	for i, r := range rows {
		k := r.row
		raw := [5]uint32{t.Maker.Code[k], t.Reference.Code[k], t.Dial.Code[k], t.Metal.Code[k], t.Family.Code[k]}
		v, ok := cache[raw]
		if !ok {
			ref := number32(n.refID, &n.ref, refKey{n.makers.code[raw[0]], n.refs.code[raw[1]]})
			v = number32(n.id, &n.variant, variantKey{ref, n.dials.code[raw[2]], n.metals.code[raw[3]]})
			if int(v) == len(n.sales) {
				n.sales = append(n.sales, 0)
			}
			cache[raw] = v
		}
		out[i] = v
		n.sales[v]++
		n.famCount[[2]uint32{uint32(n.variant[v].ref), n.fams.code[raw[4]]}]++
	}
	for v, k := range n.variant {
		n.metalCount[[2]uint32{uint32(k.ref), k.metal}] += n.sales[v]
	}
	return out
}

// number32 is the place of a key in a list, to which it is added when new.
func number32[K comparable](at map[K]int32, list *[]K, k K) int32 {
	v, ok := at[k]
	if !ok {
		v = int32(len(*list))
		at[k] = v
		*list = append(*list, k)
	}
	return v
}

// order sorts the variants by name, whatever order they came in.
func (n *naming) order(family []uint32) []int32 {
	out := make([]int32, len(n.variant))
	for v := range out {
		out[v] = int32(v)
	}
	slices.SortFunc(out, func(a, b int32) int {
		x, y := n.variant[a], n.variant[b]
		p, q := n.ref[x.ref], n.ref[y.ref]
		return cmp.Or(
			strings.Compare(n.makers.key[p.maker], n.makers.key[q.maker]),
			strings.Compare(n.fams.key[family[x.ref]], n.fams.key[family[y.ref]]),
			strings.Compare(n.refs.key[p.ref], n.refs.key[q.ref]),
			strings.Compare(n.dials.key[x.dial], n.dials.key[y.dial]),
			strings.Compare(n.metals.key[x.metal], n.metals.key[y.metal]))
	})
	return out
}

// buildNodes makes the tree and gives the leaf of each row. References are found
// by maker and reference; their family is the one that most of their sales name.
func (d *design) buildNodes(t *table.Table, rows []prepared) []int32 {
	n := naming{makers: canon(&t.Maker, rows), refs: canon(&t.Reference, rows), fams: canon(&t.Family, rows),
		dials: canon(&t.Dial, rows), metals: canon(&t.Metal, rows),
		refID: map[refKey]int32{}, id: map[variantKey]int32{}, famCount: map[[2]uint32]int{},
		metalCount: map[[2]uint32]int{}}
	leaf := n.collect(t, rows)
	family := majority(n.famCount, len(n.ref), n.fams)
	metal := majority(n.metalCount, len(n.ref), n.metals)
	order := n.order(family)
	leafOf := d.nodes.build(order, func(v int32) [algebra.LevelCount]string {
		k := n.variant[v]
		r := n.ref[k.ref]
		return [algebra.LevelCount]string{"", n.makers.text[r.maker], n.fams.text[family[k.ref]], n.refs.text[r.ref],
			variantName(n.dials.text[k.dial], n.metals.text[k.metal])}
	}, n.sales)
	d.nodes.metal = make([]string, len(d.nodes.name))
	for _, v := range order {
		r := n.variant[v].ref
		node := d.nodes.parent[leafOf[v]]
		if 10*n.metalCount[[2]uint32{uint32(r), metal[r]}] >= 9*d.nodes.count[node] {
			d.nodes.metal[node] = n.metals.text[metal[r]]
		}
	}
	for i := range leaf {
		leaf[i] = leafOf[leaf[i]]
	}
	return leaf
}

func variantName(dial, metal string) string { return table.Fold(dial) + "\x1f" + table.Fold(metal) }

// build numbers the nodes level by level, so that children are contiguous.
func (x *nodeIndex) build(order []int32, names func(int32) [algebra.LevelCount]string, perVariant []int) []int32 {
	x.name, x.parent, x.level, x.count = []string{""}, []int32{-1}, []uint8{algebra.LevelRoot}, []int{0}
	x.by = []map[string]int32{{}}
	at := make([]int32, len(perVariant)) // node of each variant at the level above
	for l := uint8(algebra.LevelMaker); l < algebra.LevelCount; l++ {
		for _, v := range order {
			n := names(v)
			p := at[v]
			key := n[l]
			if l == algebra.LevelFamily && key == "" {
				key = "\x1e" + n[algebra.LevelReference] // without a family a reference stands alone
			}
			c, ok := x.by[p][table.Fold(key)]
			if !ok {
				c = int32(len(x.name))
				x.by[p][table.Fold(key)] = c
				x.name, x.parent, x.level = append(x.name, key), append(x.parent, p), append(x.level, l)
				x.count, x.by = append(x.count, 0), append(x.by, map[string]int32{})
			}
			x.count[c] += perVariant[v]
			at[v] = c
		}
	}
	for _, n := range perVariant {
		x.count[0] += n
	}
	return at
}

// canonical is a words column with case folded: code by spelling code, and for
// each its key and the spelling to show, which is the commonest.
type canonical struct {
	code      []uint32
	key, text []string
}

func canon(w *table.Words, rows []prepared) canonical {
	count := countCodes(w.Code, len(w.Spelling), rows)
	shown := []int{} // sales of the spelling to show
	c := canonical{code: make([]uint32, len(w.Spelling))}
	index := map[string]uint32{}
	for i, s := range w.Spelling {
		k := table.Fold(s)
		n, ok := index[k]
		if !ok {
			n = uint32(len(c.key))
			index[k] = n
			c.key, c.text, shown = append(c.key, k), append(c.text, s), append(shown, count[i])
		}
		if count[i] > shown[n] || (count[i] == shown[n] && s < c.text[n]) {
			c.text[n], shown[n] = s, count[i]
		}
		c.code[i] = n
	}
	return c
}

// majority picks for each reference the named level that most of its sales have.
func majority(count map[[2]uint32]int, refs int, c canonical) []uint32 {
	best := make([]uint32, refs)
	n := make([]int, refs)
	for k, m := range count {
		r, l := k[0], k[1]
		if c.key[l] == "" {
			continue
		}
		if m > n[r] || (m == n[r] && c.key[l] < c.key[best[r]]) {
			best[r], n[r] = l, m
		}
	}
	for r := range best {
		if n[r] == 0 {
			best[r] = 0 // code 0 is the empty text
		}
	}
	return best
}
