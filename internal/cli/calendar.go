package cli

import (
	"fmt"
	"io"

	"midcase/internal/shop/desk"
)

type calendarCmd struct {
	From   string `help:"From this day on; default today." placeholder:"2026-03-01"`
	ICS    bool   `name:"ics" help:"Write an iCalendar file."`
	Output string `short:"o" help:"File to write; default standard output." placeholder:"FILE"`
	JSON   bool   `name:"json" help:"Print JSON."`
}

// Run prints the calendar.
func (c calendarCmd) Run(a *app) error {
	from := a.now()
	if c.From != "" {
		d, err := dayFlag("from", c.From)
		if err != nil {
			return err
		}
		first, ok := d.First()
		if !ok {
			return wrong("--from %q: want a day such as 2026-03-01", c.From)
		}
		from = first
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	all, err := s.Desk.Calendar(a.ctx, from)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(orEmpty(all))
	}
	if c.ICS {
		return a.writeTo(c.Output, func(w io.Writer) error { return desk.WriteICalendar(w, s.Name(), all, a.now()) })
	}
	rows := [][]string{{"DAY", "NO.", "WATCH", "WHAT", "CLIENT", "PLACE"}}
	for _, x := range all {
		rows = append(rows, []string{x.Day, fmt.Sprint(x.Number), x.Title, x.What, x.Client, x.Place})
	}
	return a.table(rows)
}
