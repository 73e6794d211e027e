package market

import (
	"math"
	"slices"

	"midcase/market/table"
	"midcase/say"
)

// days looks for a day and a month that changed places: a list in the order of its dates
// has one row out of order, which would be in order the other way round.
func (d *doubts) days() {
	t := d.m.table
	at := map[string][]int{} // sales by source, and all together
	for i := range d.m.obs {
		row := int(d.m.row[i])
		if !t.IsDay(row) || t.Line[row] == 0 {
			continue
		}
		at[""] = append(at[""], i)
		if s := sourceOf(t.Source(row)); s != "" {
			at[s] = append(at[s], i)
		}
	}
	for _, list := range at {
		slices.SortFunc(list, func(a, b int) int { return int(t.Line[d.m.row[a]]) - int(t.Line[d.m.row[b]]) })
		d.outOfOrder(list)
	}
}

// A list is in order where no more neighbours than this are not; both neighbours of a row
// must be in order among themselves, and the row this many days off.
const (
	disorder  = 0.1
	leastList = 12
	leastOff  = 20
)

func (d *doubts) outOfOrder(list []int) {
	t := d.m.table
	day := func(k int) int32 { return t.Day[d.m.row[list[k]]] }
	if len(list) < leastList {
		return
	}
	up, down := 0, 0
	for k := 1; k < len(list); k++ {
		switch {
		case day(k) > day(k-1):
			up++
		case day(k) < day(k-1):
			down++
		}
	}
	if float64(min(up, down)) > disorder*float64(len(list)) {
		return
	}
	for k := 1; k+1 < len(list); k++ {
		low, high := day(k-1), day(k+1)
		if down > up {
			low, high = high, low
		}
		x := day(k)
		off := max(low-x, x-high)
		turned, ok := otherWayRound(x)
		if low > high || off < leastOff || !ok || turned < low || turned > high {
			continue
		}
		// A row out of order for another reason would fit as well by chance only.
		chance := 1 - math.Min(0.5, float64(high-low+1)/365)
		i := list[k]
		d.suspect(i, d.u[i], chance, say.That("suspect.day-month", say.Day("day", table.DateText(x, table.DayDate)),
			say.Day("turned", table.DateText(turned, table.DayDate))))
	}
}

// otherWayRound is a day with its day and month exchanged, where that is another one.
func otherWayRound(day int32) (int32, bool) {
	u := table.DayTime(day)
	if u.Day() > 12 || u.Day() == int(u.Month()) {
		return 0, false
	}
	return table.DayNumber(u.Year(), u.Day(), int(u.Month())), true
}
