package staff_test

import (
	"fmt"
	"sync"
	"testing"

	"midcase/internal/shop/rights"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/staff"
)

// Two programs on one shop add people at once: all of them are there.
func TestTwoProgramsChangeOneSetting(t *testing.T) {
	t.Parallel()
	b := shoptest.New(t)
	add(t, b, "Odo", "")
	other := b.Elsewhere(t)
	const each = 10
	var group sync.WaitGroup
	for i := range each {
		for k, room := range []*staff.Room{b.Staff, other.Staff} {
			group.Go(func() {
				if err := room.SetRole(t.Context(), "Odo", rights.Owner); err != nil {
					t.Error(err)
				}
			})
			add(t, b, fmt.Sprintf("Person %d %d", i, k), rights.Viewer)
		}
	}
	group.Wait()
	if all, err := other.Staff.People(t.Context()); err != nil || len(all) != 1+2*each {
		t.Errorf("%d people, %v; want %d", len(all), err, 1+2*each)
	}
}
