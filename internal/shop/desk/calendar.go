package desk

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
	"midcase/internal/shop"
	"midcase/internal/shop/trade"
)

// Appointment is a day that the shop must not miss.
type Appointment struct {
	ID     string       `json:"id"` // the same each time, so that a calendar replaces it
	Day    string       `json:"day"`
	What   string       `json:"what"` // hold ends, due back from memo, due back, reservation ends, private list ends, promise ends
	Watch  shop.WatchID `json:"watch"`
	Number int          `json:"number"`
	Title  string       `json:"title"`
	Place  string       `json:"place,omitempty"`
	Client string       `json:"client,omitempty"` // an id; calendars travel, names do not
}

// Calendar lists the days from one on: holds, memo returns, workshop returns,
// reservations, private lists and promises, the earliest first.
func (r *Room) Calendar(ctx context.Context, from time.Time) ([]Appointment, error) {
	all, err := r.appointments(ctx, from)
	if err != nil {
		return nil, err
	}
	first := from.Format(time.DateOnly)
	return slices.DeleteFunc(all, func(a Appointment) bool { return a.Day < first }), nil
}

// Agenda lists what is overdue on the shop's day, what is due on it, and what is due
// later, each the earliest first.
func (r *Room) Agenda(ctx context.Context) (overdue, today, later []Appointment, err error) {
	now := r.shop.Now()
	all, err := r.appointments(ctx, now)
	if err != nil {
		return nil, nil, nil, err
	}
	for _, a := range all {
		switch day := now.Format(time.DateOnly); {
		case a.Day < day && a.What == privateEnds: // it went public by itself
		case a.Day < day:
			overdue = append(overdue, a)
		case a.Day == day:
			today = append(today, a)
		default:
			later = append(later, a)
		}
	}
	return overdue, today, later, nil
}

const privateEnds = "private list ends"

// appointments are all days on record, those past too, with the holds that stand on a
// day.
func (r *Room) appointments(ctx context.Context, on time.Time) ([]Appointment, error) {
	watches, err := r.shop.StockList(ctx)
	if err != nil {
		return nil, fmt.Errorf("calendar: %w", err)
	}
	rules, err := r.trade.Rules(ctx)
	if err != nil {
		return nil, err
	}
	clients, err := r.shop.ClientList(ctx)
	if err != nil {
		return nil, fmt.Errorf("calendar: %w", err)
	}
	known := make(map[string]string, len(clients)) // a holder may also be a firm that is no client
	for _, c := range clients {
		known[c.ID] = c.ID
	}
	var out []Appointment
	add := func(w shop.Watch, what string, d edtf.Date, client string) {
		if last, ok := d.Last(); ok {
			out = append(out, Appointment{fmt.Sprintf("%s-%s-%s", w.ID, slug(what), client), last.Format(time.DateOnly),
				what, w.ID, w.Number, w.Title, w.Place, client})
		}
	}
	for _, w := range watches {
		if w.State == shop.Sold || w.State == shop.Returned {
			continue
		}
		if what, ok := dueWords[w.State]; ok && w.State == shop.Reserved {
			add(w, what, w.Due, w.Client)
		} else if ok {
			add(w, what, w.Due, known[w.Holder])
		} else if w.Holder != "" {
			add(w, "due back", w.Due, known[w.Holder])
		}
		add(w, privateEnds, w.PrivateTo, "")
		for _, h := range trade.HoldDays(w, rules, on) {
			add(w, "hold ends", h.Until, "")
		}
	}
	promises, err := r.people.Promises(ctx)
	if err != nil || len(promises) == 0 {
		return inOrder(out), err
	}
	byID := make(map[shop.WatchID]int, len(watches))
	for i, w := range watches {
		byID[w.ID] = i
	}
	for _, v := range promises {
		if i, ok := byID[v.Watch]; ok && watches[i].State != shop.Sold && watches[i].State != shop.Returned {
			add(watches[i], "promise ends", v.Until, v.Client)
		}
	}
	return inOrder(out), nil
}

// inOrder puts appointments in the order of their days.
func inOrder(out []Appointment) []Appointment {
	slices.SortFunc(out, func(a, b Appointment) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Number, b.Number), cmp.Compare(a.ID, b.ID))
	})
	return out
}

var dueWords = map[shop.State]string{shop.OnMemo: "due back from memo", shop.Reserved: "reservation ends",
	shop.AtWorkshop: "due back from the watchmaker"}

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
func WriteICalendar(w io.Writer, name string, all []Appointment, made time.Time) error {
	if len(all) == 0 { // the encoder wants a component; a calendar without any is one too
		_, err := io.WriteString(w,
			"BEGIN:VCALENDAR\r\nPRODID:-//Midcase//Midcase//EN\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n")
		return err
	}
	cal := ical.NewCalendar()
	cal.Props.SetText(ical.PropVersion, "2.0")
	cal.Props.SetText(ical.PropProductID, "-//Midcase//Midcase//EN")
	cal.Props.SetText("X-WR-CALNAME", name)
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
	_, err := io.WriteString(w, shop.FoldLines(b.String()))
	return err
}
