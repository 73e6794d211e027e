package market

import (
	"cmp"
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
	c, ok := x.by[v][fold(name)]
	return c, ok
}

// buildNodes makes the tree and gives the leaf of each row. References are found
// by maker and reference; their family is the one that most of their sales name.
func (d *design) buildNodes(t *Table, rows []prepared) []int32 {
	makers, refs, fams := canon(&t.maker), canon(&t.reference), canon(&t.family)
	dials, metals := canon(&t.dial), canon(&t.metal)
	type refKey struct{ maker, ref uint32 }
	type varKey struct {
		ref         int32
		dial, metal uint32
	}
	refID := map[refKey]int32{}
	var refList []refKey
	famCount := map[[2]uint32]int{} // reference, family
	varID := map[varKey]int32{}
	var varList []varKey
	variant := make([]int32, len(rows))
	perVariant := []int{}
	metalCount := map[[2]uint32]int{}
	refOf := make([]int32, 0)
	cache := map[[5]uint32]int32{}
	for i, r := range rows {
		k := r.row
		raw := [5]uint32{t.maker.code[k], t.reference.code[k], t.dial.code[k], t.metal.code[k], t.family.code[k]}
		v, ok := cache[raw]
		if !ok {
			rk := refKey{makers.code[raw[0]], refs.code[raw[1]]}
			id, ok := refID[rk]
			if !ok {
				id = int32(len(refList))
				refID[rk] = id
				refList = append(refList, rk)
			}
			vk := varKey{id, dials.code[raw[2]], metals.code[raw[3]]}
			v, ok = varID[vk]
			if !ok {
				v = int32(len(varList))
				varID[vk] = v
				varList = append(varList, vk)
				perVariant = append(perVariant, 0)
				refOf = append(refOf, id)
			}
			cache[raw] = v
		}
		variant[i] = v
		perVariant[v]++
		famCount[[2]uint32{uint32(refOf[v]), fams.code[raw[4]]}]++
	}
	for v, vk := range varList {
		metalCount[[2]uint32{uint32(vk.ref), vk.metal}] += perVariant[v]
	}
	family := majority(famCount, len(refList), fams)
	metal := majority(metalCount, len(refList), metals)

	// Sort references and variants by name, whatever order they came in.
	order := make([]int32, len(varList))
	for v := range order {
		order[v] = int32(v)
	}
	slices.SortFunc(order, func(a, b int32) int {
		x, y := varList[a], varList[b]
		p, q := refList[x.ref], refList[y.ref]
		return cmp.Or(
			strings.Compare(makers.key[p.maker], makers.key[q.maker]),
			strings.Compare(fams.key[family[x.ref]], fams.key[family[y.ref]]),
			strings.Compare(refs.key[p.ref], refs.key[q.ref]),
			strings.Compare(dials.key[x.dial], dials.key[y.dial]),
			strings.Compare(metals.key[x.metal], metals.key[y.metal]))
	})
	names := func(v int32) [levelCount]string {
		vk := varList[v]
		rk := refList[vk.ref]
		fam := fams.text[family[vk.ref]]
		return [levelCount]string{"", makers.text[rk.maker], fam, refs.text[rk.ref], variantName(dials.text[vk.dial], metals.text[vk.metal])}
	}
	leafOf := d.nodes.build(order, names, perVariant)
	d.nodes.metal = make([]string, len(d.nodes.name))
	for _, v := range order {
		r := varList[v].ref
		m := metal[r]
		total := d.nodes.count[d.nodes.parent[leafOf[v]]]
		if 10*metalCount[[2]uint32{uint32(r), m}] >= 9*total {
			d.nodes.metal[d.nodes.parent[leafOf[v]]] = metals.text[m]
		}
	}
	for i := range variant {
		variant[i] = leafOf[variant[i]]
	}
	return variant
}

func variantName(dial, metal string) string { return fold(dial) + "\x1f" + fold(metal) }

// build numbers the nodes level by level, so that children are contiguous.
func (x *nodeIndex) build(order []int32, names func(int32) [levelCount]string, perVariant []int) []int32 {
	x.name, x.parent, x.level, x.count = []string{""}, []int32{-1}, []uint8{levelRoot}, []int{0}
	x.by = []map[string]int32{{}}
	at := make([]int32, len(perVariant)) // node of each variant at the level above
	for l := uint8(levelMaker); l < levelCount; l++ {
		for _, v := range order {
			n := names(v)
			p := at[v]
			key := n[l]
			if l == levelFamily && key == "" {
				key = "\x1e" + n[levelReference] // without a family a reference stands alone
			}
			c, ok := x.by[p][fold(key)]
			if !ok {
				c = int32(len(x.name))
				x.by[p][fold(key)] = c
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
// each its key and the spelling to show.
type canonical struct {
	code      []uint32
	key, text []string
}

func canon(w *words) canonical {
	c := canonical{code: make([]uint32, len(w.spelling))}
	index := map[string]uint32{}
	for i, s := range w.spelling {
		k := fold(s)
		n, ok := index[k]
		if !ok {
			n = uint32(len(c.key))
			index[k] = n
			c.key, c.text = append(c.key, k), append(c.text, s)
		}
		if s < c.text[n] {
			c.text[n] = s
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
