package cli

import (
	"io"

	"midcase/edtf"
	"midcase/internal/shop/desk"
)

type calendarCmd struct {
	table
	file
	From edtf.Date `help:"From this day on (default: today)." placeholder:"2026-03-01"`
	ICS  bool      `name:"ics" help:"Write an iCalendar file."`
}

// Run prints the calendar.
func (c calendarCmd) Run(a *app, s *opened) error {
	from := a.now()
	if first, ok := c.From.First(); ok {
		from = first
	} else if !c.From.IsZero() {
		return misuse{notADay(c.From.String())}
	}
	all, err := s.Desk.Calendar(a.ctx, from)
	if err == nil && c.ICS && !c.JSON {
		return c.write(a, func(w io.Writer) error { return desk.WriteICalendar(w, s.Name(), all, a.now()) })
	}
	return list(a, c.table, all, err, "Nothing is due.", "DAY|NO.|WATCH|WHAT|CLIENT|PLACE",
		func(x desk.Appointment) cells { return cells{x.Day, x.Number, x.Title, x.What, x.Client, x.Place} })
}
