package attack

import (
	"fmt"
	"slices"
	"sync"
	"testing"

	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/shoptest"
)

// Of twelve papers made at once some were once refused. Two programs make them, on one folder.
func TestTwelvePapersAtOnce(t *testing.T) {
	b := shoptest.New(t)
	id := b.Offered(t)
	other := b.Elsewhere(t)
	var mu sync.Mutex
	var got []string
	var all sync.WaitGroup
	for i := range 12 {
		s := b.Shop
		if i%3 == 2 {
			s = other.Shop
		}
		all.Go(func() {
			p, err := papers.Make(t.Context(), s, papers.Order{Kind: shop.PaperIdentification, Watch: id, By: "Ines"})
			if err != nil {
				t.Errorf("a paper is refused: %v", err)
			}
			mu.Lock()
			defer mu.Unlock()
			got = append(got, p.Number)
		})
	}
	all.Wait()
	slices.Sort(got)
	for i, number := range got {
		if want := fmt.Sprintf("S-2026-%04d", i+1); number != want {
			t.Errorf("number %d is %s; want %s", i+1, number, want)
		}
	}
}
