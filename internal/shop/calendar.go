package shop

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	"github.com/emersion/go-ical"

	"midcase/edtf"
)

// Appointment is a day that the shop must not miss.
type Appointment struct {
	ID     string  `json:"id"` // the same each time, so that a calendar replaces it
	Day    string  `json:"day"`
	What   string  `json:"what"` // hold ends, due back from memo, due back, reservation ends, private list ends, promise ends
	Watch  WatchID `json:"watch"`
	Number int     `json:"number"`
	Title  string  `json:"title"`
	Place  string  `json:"place,omitempty"`
	Client string  `json:"client,omitempty"` // an id; calendars travel, names do not
}

// Calendar lists the days from one on: holds, memo returns, workshop returns,
// reservations, private lists and promises, the earliest first.
func (s *Shop) Calendar(ctx context.Context, from time.Time) ([]Appointment, error) {
	watches, err := s.stores.Watches.Watches(ctx, Filter{})
	if err != nil {
		return nil, fmt.Errorf("calendar: %w", err)
	}
	rules, err := s.Rules(ctx)
	if err != nil {
		return nil, err
	}
	first := from.Format(time.DateOnly)
	var out []Appointment
	byID := map[WatchID]Watch{}
	add := func(w Watch, what string, d edtf.Date, client string) {
		last, ok := d.Last()
		if day := last.Format(time.DateOnly); ok && day >= first {
			out = append(out, Appointment{fmt.Sprintf("%s-%s-%s", w.ID, slug(what), client), day, what, w.ID, w.Number, w.Title, w.Place, client})
		}
	}
	for _, w := range watches {
		byID[w.ID] = w
		if w.State == Sold || w.State == Returned {
			continue
		}
		if what, ok := map[State]string{OnMemo: "due back from memo", Reserved: "reservation ends", AtWorkshop: "due back from the watchmaker"}[w.State]; ok {
			add(w, what, w.Due, w.Client)
		} else if w.Holder != "" {
			add(w, "due back", w.Due, w.Client)
		}
		add(w, "private list ends", w.PrivateTo, "")
		for _, h := range holdDays(w, rules, from) {
			add(w, "hold ends", h.Until, "")
		}
	}
	promises, err := s.openPromises(ctx)
	if err != nil {
		return nil, err
	}
	for _, v := range promises {
		add(byID[v.Watch], "promise ends", v.Until, v.Client)
	}
	slices.SortFunc(out, func(a, b Appointment) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Number, b.Number), cmp.Compare(a.ID, b.ID))
	})
	return out, nil
}

// openPromises are the promises that were not answered.
func (s *Shop) openPromises(ctx context.Context) ([]Showing, error) {
	all, err := s.Showings(ctx, "", "")
	if err != nil {
		return nil, fmt.Errorf("promises: %w", err)
	}
	type pair struct {
		watch  WatchID
		client string
	}
	open := map[pair]Showing{}
	for _, v := range all {
		switch k := (pair{v.Watch, v.Client}); v.Kind {
		case Promised:
			open[k] = v
		case Declined, Withdrawn, Accepted:
			delete(open, k)
		}
	}
	out := make([]Showing, 0, len(open))
	for _, v := range open {
		out = append(out, v)
	}
	return out, nil
}

func slug(s string) string {
	b := []byte(s)
	for i, c := range b {
		if c == ' ' {
			b[i] = '-'
		}
	}
	return string(b)
}

// WriteICalendar writes appointments as an iCalendar feed (RFC 5545): whole days, lines
// folded, no names of people. made is when the feed was made.
func WriteICalendar(w io.Writer, shop string, all []Appointment, made time.Time) error {
	if len(all) == 0 { // the encoder wants a component; a calendar without any is one too
		_, err := io.WriteString(w, "BEGIN:VCALENDAR\r\nPRODID:-//Midcase//Midcase//EN\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n")
		return err
	}
	cal := ical.NewCalendar()
	cal.Props.SetText(ical.PropVersion, "2.0")
	cal.Props.SetText(ical.PropProductID, "-//Midcase//Midcase//EN")
	cal.Props.SetText("X-WR-CALNAME", shop)
	for _, a := range all {
		day, err := time.Parse(time.DateOnly, a.Day)
		if err != nil {
			return fmt.Errorf("calendar: %s: day %q: want a day such as 2026-03-01", a.ID, a.Day)
		}
		e := ical.NewEvent()
		e.Props.SetText(ical.PropUID, a.ID+"@midcase")
		e.Props.SetDateTime(ical.PropDateTimeStamp, made.UTC())
		e.Props.SetDate(ical.PropDateTimeStart, day)
		e.Props.SetDate(ical.PropDateTimeEnd, day.AddDate(0, 0, 1))
		e.Props.SetText(ical.PropSummary, fmt.Sprintf("No. %d %s: %s", a.Number, a.Title, a.What))
		e.Props.SetText(ical.PropTransparency, "TRANSPARENT")
		if a.Place != "" {
			e.Props.SetText(ical.PropLocation, a.Place)
		}
		cal.Children = append(cal.Children, e.Component)
	}
	var b bytes.Buffer
	if err := ical.NewEncoder(&b).Encode(cal); err != nil {
		return fmt.Errorf("calendar: %w", err)
	}
	_, err := io.WriteString(w, fold(b.String()))
	return err
}
