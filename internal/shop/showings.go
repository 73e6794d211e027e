package shop

import (
	"time"

	"midcase/edtf"
	"midcase/money"
)

// Showing is one thing that passed between the shop and a client about a watch: that it
// was shown, offered or promised. It is only ever added, and has no free text, since it
// outlasts the client's data.
type Showing struct {
	Seq     int64       `json:"seq"` // set by the store
	ID      string      `json:"id"`
	Watch   WatchID     `json:"watch"`
	Client  string      `json:"client,omitempty"` // none for the private list as a whole
	Kind    string      `json:"kind"`
	At      time.Time   `json:"at"`
	By      string      `json:"by"`
	Price   money.Money `json:"price,omitzero"`
	Until   edtf.Date   `json:"until,omitzero"`    // the last day of an offer or a promise
	Channel string      `json:"channel,omitempty"` // email, phone, message, post, in the shop
}

// The kinds of showing.
const (
	Shown     = "shown"     // the client saw it
	OfferedTo = "offered"   // at a price
	Promised  = "promised"  // the client has the first refusal until a day
	Accepted  = "accepted"  // the client takes it
	Declined  = "declined"  // the client does not
	Withdrawn = "withdrawn" // the shop took offer or promise back
	Private   = "private"   // shown only privately until a day, then to all
)

// ShowingKinds lists the kinds of showing to a client.
func ShowingKinds() []string {
	return []string{Shown, OfferedTo, Promised, Accepted, Declined, Withdrawn}
}

// PrivateOn reports whether a watch is shown privately only on a day.
func (w Watch) PrivateOn(day time.Time) bool {
	last, ok := w.PrivateTo.Last()
	return ok && !DayOf(day).After(DayOf(last))
}

// Public reports whether a watch may be shown to all on a day: it is listed, and its
// time of being shown privately is over.
func (w Watch) Public(day time.Time) bool {
	if w.State != Listed {
		return false
	}
	last, ok := w.PrivateTo.Last()
	return w.PrivateTo.IsZero() || ok && DayOf(day).After(DayOf(last))
}
