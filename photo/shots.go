package photo

import (
	"slices"
	"time"
)

// Shot is one of many pictures that were taken one after the other: when, by the camera's clock (zero where it does
// not say), and what it is proposed to show.
type Shot struct {
	At   time.Time
	View string
	Sure float64
}

// What parts the pictures of one watch from those of the next. A dealer who photographs one watch takes the next
// picture within seconds, and puts the next watch down in a minute or so: common practice, no published source.
const (
	sameWatch    = 15 * time.Second // a shorter pause never parts
	surelyOther  = 10 * time.Minute // a longer one always does
	pauseTimes   = 4.0              // a pause this many times the middle one parts
	beginsSurely = 0.45             // a front view as sure as this begins a watch where one was well seen already
)

// GroupShots says for each shot, in their order, which watch it is of, counted from 0. Shots with a time are put in
// its order; those without follow the one before them. A new watch begins where the pause is long beside the others,
// and where a view of the whole watch follows pictures of one, after some pause or where no time is known. The
// pictures of one watch are taken as they come; a dealer who begins with the back is corrected on the sheet.
func GroupShots(shots []Shot) []int {
	order := make([]int, len(shots))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if shots[a].At.IsZero() || shots[b].At.IsZero() {
			return 0
		}
		return shots[a].At.Compare(shots[b].At)
	})
	middle := middlePause(shots, order)
	group, whole := 0, false
	out := make([]int, len(shots))
	for k, i := range order {
		front := shots[i].View == "front" && shots[i].Sure >= beginsSurely
		if k > 0 && begins(shots[order[k-1]], shots[i], middle, front && whole) {
			group, whole = group+1, false
		}
		whole = whole || front || shots[i].Sure >= beginsSurely && (shots[i].View == "dial" || shots[i].View == "back")
		out[i] = group
	}
	return out
}

// begins reports whether a shot is of another watch than the one before it.
func begins(before, shot Shot, middle time.Duration, frontAgain bool) bool {
	if before.At.IsZero() || shot.At.IsZero() {
		return frontAgain
	}
	pause := shot.At.Sub(before.At)
	switch {
	case pause <= sameWatch:
		return false
	case pause >= surelyOther || frontAgain:
		return true
	}
	return float64(pause) > pauseTimes*float64(max(middle, sameWatch/2))
}

// middlePause is the median of the pauses between shots; zero where none is known.
func middlePause(shots []Shot, order []int) time.Duration {
	var all []time.Duration
	for k := 1; k < len(order); k++ {
		a, b := shots[order[k-1]].At, shots[order[k]].At
		if !a.IsZero() && !b.IsZero() {
			all = append(all, b.Sub(a))
		}
	}
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return all[len(all)/2]
}
