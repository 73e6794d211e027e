package shop

import (
	"time"

	"midcase/edtf"
)

func DayOf(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// dateOf is the day of a time as a date.
func DateOf(t time.Time) edtf.Date {
	d, err := edtf.Parse(t.Format(time.DateOnly))
	if err != nil { // only years past 9999 have no such form
		return edtf.Date{}
	}
	return d
}
