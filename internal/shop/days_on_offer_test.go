package shop

import "testing"

// Days at the workshop, with the photographer or before the watch was listed are no days on offer, nor is
// anything that happened after the day.
func TestDaysOnOffer(t *testing.T) {
	moves := []Movement{
		{ID: "a", Watch: "w", To: Bought, Day: "2026-01-01"},
		{ID: "b", Watch: "w", From: Bought, To: Photographed, Day: "2026-02-01"},
		{ID: "c", Watch: "w", From: Photographed, To: Listed, Day: "2026-03-01"},
		{ID: "d", Watch: "w", From: Listed, To: AtWorkshop, Day: "2026-03-11"},
		{ID: "e", Watch: "w", From: AtWorkshop, To: Listed, Day: "2026-04-10"},
		{ID: "f", Watch: "w", From: Listed, To: Sold, Day: "2026-05-10"},
		{ID: "g", Watch: "w", From: Sold, To: Returned, Day: "2026-05-20"},
		{ID: "h", Watch: "w", From: Returned, To: Listed, Day: "2026-06-01"},
	}
	for day, want := range map[string]float64{"2026-02-20": 0, "2026-03-06": 5, "2026-03-31": 10, "2026-04-20": 20,
		"2026-06-04": 3} {
		if got := daysOnOffer(moves, day); got != want {
			t.Errorf("%s: %g days on offer; want %g", day, got, want)
		}
	}
}
