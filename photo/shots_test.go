package photo

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

func TestGroupShots(t *testing.T) {
	at := func(s int) time.Time { return time.Date(2026, 3, 1, 10, 0, s, 0, time.UTC) }
	for _, c := range []struct {
		name  string
		shots []Shot
		want  string
	}{
		{"none", nil, "[]"},
		{"one after the other", []Shot{{At: at(0)}, {At: at(8)}, {At: at(15)}, {At: at(24)}}, "[0 0 0 0]"},
		{"a long pause", []Shot{{At: at(0)}, {At: at(8)}, {At: at(700)}, {At: at(710)}}, "[0 0 1 1]"},
		{"a pause long beside the others", []Shot{{At: at(0)}, {At: at(8)}, {At: at(15)}, {At: at(75)}, {At: at(83)}},
			"[0 0 0 1 1]"},
		{"out of order", []Shot{{At: at(700)}, {At: at(0)}, {At: at(710)}, {At: at(8)}}, "[1 0 1 0]"},
		{"no times, a second front", views("front", 0.9, "back", 0.9, "front", 0.8, "dial", 0.5), "[0 0 1 1]"},
		{"no times, an unsure front", views("front", 0.9, "back", 0.0, "front", 0.4), "[0 0 0]"},
		{"no times, the first front not told", views("movement", 0.3, "dial", 0.9, "front", 0.5), "[0 0 1]"},
	} {
		if got := fmt.Sprint(GroupShots(c.shots)); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// views are shots without times, of a view and how sure it is.
func views(all ...any) []Shot {
	var out []Shot
	for i := 0; i < len(all); i += 2 {
		out = append(out, Shot{View: all[i].(string), Sure: all[i+1].(float64)})
	}
	return out
}

// A dealer who photographs one watch after another: the pauses are drawn by us, no published source.
func TestGroupShotsOfASession(t *testing.T) {
	s := rand.New(rand.NewPCG(3, 1))
	right, of := 0, 0
	for range 200 {
		var shots []Shot
		var watch []int
		at := time.Date(2026, 3, 1, 10, 0, 0, 0, time.UTC)
		for w := range 2 + s.IntN(5) {
			if w > 0 {
				at = at.Add(time.Duration(40+s.IntN(160)) * time.Second)
			}
			for k := range 3 + s.IntN(6) {
				view := ""
				if k == 0 && s.Float64() < 0.7 {
					view = "front"
				}
				shots, watch = append(shots, Shot{At: at, View: view, Sure: 0.9}), append(watch, w)
				at = at.Add(time.Duration(4+s.IntN(14)) * time.Second)
			}
		}
		got := GroupShots(shots)
		for i := 1; i < len(got); i++ {
			of++
			if (got[i] != got[i-1]) == (watch[i] != watch[i-1]) {
				right++
			}
		}
	}
	if share := float64(right) / float64(of); share < 0.98 {
		t.Errorf("%.3f of the steps from one picture to the next are right", share)
	}
}
