package desk

import (
	"context"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/refbook"
	"midcase/say"
)

// Lack is something that the book does not say and that would tell more of watches in
// stock.
type Lack struct {
	Says             say.Statement
	Watches          int    // in stock, that it concerns
	Maker, Reference string // Reference is empty for what concerns the whole maker
	InBook           bool   // the maker, or the reference where one is named, is in the book
}

// Lacks lists what the book lacks for the stock in hand, what concerns most watches
// first.
func (r *Room) Lacks(ctx context.Context) ([]Lack, error) {
	met, err := r.Met(ctx)
	if err != nil {
		return nil, err
	}
	stock, err := r.shop.StockList(ctx)
	if err != nil {
		return nil, err
	}
	numbered := map[string]int{} // watches with a serial number, by maker
	for _, w := range stock {
		if w.Serial != "" && inSight(w.State) {
			numbered[w.Maker]++
		}
	}
	book := r.shop.Book(ctx)
	var out []Lack
	for _, m := range met {
		if m.Watches == 0 && (m.InBook || m.Sales == 0) {
			continue
		}
		if !m.InBook {
			_, known := book.Maker(m.Maker)
			out = append(out, Lack{say.That("lacks.reference", say.Name("reference", m.Maker+" "+m.Reference),
				say.Count("n", m.Watches), say.Count("sales", m.Sales)), m.Watches, m.Maker, m.Reference, known})
			continue
		}
		out = append(out, lacksOf(book, m)...)
	}
	for i := range book.Makers {
		m := &book.Makers[i]
		if n := numbered[m.Name]; n > 0 && len(m.Serials) == 0 {
			out = append(out, Lack{say.That("lacks.milestones", say.Name("maker", m.Name), say.Count("n", n)), n, m.Name, "",
				true})
		}
	}
	slices.SortStableFunc(out, func(a, b Lack) int { return b.Watches - a.Watches })
	return out, nil
}

// toldBySlots are the parts whose versions date a watch best. Common practice, no
// published source.
var toldBySlots = []evidence.Slot{evidence.Dial, evidence.Hands, evidence.Bracelet, evidence.Clasp, evidence.CaseBack}

// lacksOf is what the book lacks of one reference.
func lacksOf(book *refbook.Book, m Met) []Lack {
	_, ref, ok := book.Reference(m.Maker, m.Reference)
	if !ok {
		return nil
	}
	var out []Lack
	add := func(s say.Statement) { out = append(out, Lack{s, m.Watches, m.Maker, m.Reference, true}) }
	name := m.Maker + " " + m.Reference
	var slots []string
	assumed := 0
	for _, slot := range toldBySlots {
		if s, ok := ref.Slot(slot); !ok || len(s.Variants) == 0 {
			slots = append(slots, slot.Name())
		}
	}
	for _, s := range ref.Slots {
		if strings.Contains(s.Source, refbook.AssumedMark) {
			assumed++
		}
	}
	if len(slots) > 0 {
		add(say.That("lacks.versions", say.Name("reference", name), say.Name("slots", strings.Join(slots, ", ")),
			say.Count("n", m.Watches)))
	}
	if assumed > 0 {
		add(say.That("lacks.assumed", say.Name("reference", name), say.Count("parts", assumed), say.Count("n", m.Watches)))
	}
	if len(ref.Dimensions) == 0 {
		add(say.That("lacks.sizes", say.Name("reference", name), say.Count("n", m.Watches)))
	}
	if m.Sales == 0 {
		add(say.That("lacks.sales", say.Name("reference", name), say.Count("n", m.Watches)))
	}
	return out
}
