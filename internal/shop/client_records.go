package shop

import (
	"slices"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/money"
)

// Client is a person or firm that the shop deals with.
type Client struct {
	ID      string    `json:"id"`
	Name    string    `json:"name"`
	Email   string    `json:"email,omitempty"`
	Phone   string    `json:"phone,omitempty"`
	Country string    `json:"country,omitempty"`
	Note    string    `json:"note,omitempty" typed:"text"`
	Wants   []Want    `json:"wants,omitempty"`
	Created time.Time `json:"created"`
	Changed time.Time `json:"changed"`
	Version int       `json:"version"`

	Kind     string    `json:"kind,omitempty"`     // person, firm, dealer, workshop; empty is person
	Language string    `json:"language,omitempty"` // BCP 47
	Address  Address   `json:"address,omitzero"`
	Channels []Channel `json:"channels,omitempty"` // further ways to reach the client
	Consents []Consent `json:"consents,omitempty"` // the latest of a purpose counts
	Identity *Identity `json:"identity,omitempty"` // seen by the shop, where rules ask for it
	Owns     []Owned   `json:"owns,omitempty"`     // watches known to be theirs
	Erased   time.Time `json:"erased,omitzero"`    // when the person's data were erased

	TaxNumber string `json:"tax_number,omitempty"` // of a business, for value added tax

	CallFirst bool `json:"call_first,omitempty"` // wants to hear of everything before others
}

// TaxNumber is a tax number as it is kept: in capitals, without spaces.
func TaxNumber(typed string) string { return strings.ToUpper(strings.Join(strings.Fields(typed), "")) }

// ClientKinds lists what a client can be.
func ClientKinds() []string { return []string{"person", "firm", "dealer", "workshop"} }

// Address is a postal address.
type Address struct {
	Street   string `json:"street,omitempty" typed:"text"`
	City     string `json:"city,omitempty"`
	Region   string `json:"region,omitempty"`
	PostCode string `json:"post_code,omitempty"`
	Country  string `json:"country,omitempty"` // ISO 3166-1 alpha-2
}

// Channel is a way to reach a client.
type Channel struct {
	Kind      string `json:"kind"` // email, phone, message, post
	Value     string `json:"value"`
	Label     string `json:"label,omitempty"` // work, home, assistant
	Preferred bool   `json:"preferred,omitempty"`
}

// ChannelKinds lists the ways to reach a client.
func ChannelKinds() []string { return []string{"email", "phone", "message", "post"} }

// Identity is a paper by which a client proved who they are.
type Identity struct {
	Paper  string    `json:"paper"` // passport, identity card, driving licence
	Number string    `json:"number"`
	Issuer string    `json:"issuer,omitempty"`
	Seen   edtf.Date `json:"seen"`
	By     string    `json:"by"`
}

// Owned is a watch that a client is known to have.
type Owned struct {
	Maker     string    `json:"maker,omitempty"`
	Reference string    `json:"reference,omitempty"`
	Watch     WatchID   `json:"watch,omitempty"` // where the shop sold it
	Since     edtf.Date `json:"since,omitzero"`
	Note      string    `json:"note,omitempty" typed:"text"`
}

// Want is what a client looks for. Zero fields do not narrow.
type Want struct {
	Maker            string      `json:"maker,omitempty"`
	Family           string      `json:"family,omitempty"`
	Reference        string      `json:"reference,omitempty"`
	Metal            string      `json:"metal,omitempty"`
	ConditionFloor   float64     `json:"condition_floor,omitempty"`
	OriginalityFloor float64     `json:"originality_floor,omitempty"`
	Budget           money.Money `json:"budget,omitzero"`
	Note             string      `json:"note,omitempty" typed:"text"`

	Dial      string    `json:"dial,omitempty"`      // words that the dial's variant must hold
	Must      string    `json:"must,omitempty"`      // findings that must be on record, such as "unpolished, tropical"
	MustNot   string    `json:"must_not,omitempty"`  // findings that must not, such as relumed
	AsTyped   bool      `json:"as_typed,omitempty"`  // names that the book does not have are meant
	Set       string    `json:"set,omitempty"`       // papers or full: at least that
	YearFrom  int       `json:"year_from,omitempty"` // when the watch was made
	YearTo    int       `json:"year_to,omitempty"`
	CallFirst bool      `json:"call_first,omitempty"` // wants to hear of it before others
	Added     edtf.Date `json:"added,omitzero"`
	Until     edtf.Date `json:"until,omitzero"` // the last day on which it is wanted
}

// Consent is what a client allowed or refused, and how that is known.
type Consent struct {
	Purpose string    `json:"purpose"`           // offers, news, keep
	Channel string    `json:"channel,omitempty"` // the kind of channel that it is about; empty: every one
	Given   bool      `json:"given"`
	At      time.Time `json:"at"`
	How     string    `json:"how,omitempty" typed:"text"` // in writing, by word, on a form
}

// ConsentPurposes lists what is asked for: to be offered watches, to be sent news, to have
// data kept beyond what law asks for.
func ConsentPurposes() []string { return []string{"offers", "news", "keep"} }

// AllowsBy reports whether the client allowed a purpose by a kind of channel: the latest
// word on it, or on every channel, counts. asked is false where nothing is on record.
func (c Client) AllowsBy(purpose, channel string) (given, asked bool) {
	var last time.Time
	for _, x := range c.Consents {
		if x.Purpose == purpose && (x.Channel == "" || x.Channel == channel) && (!asked || !x.At.Before(last)) {
			given, asked, last = x.Given, true, x.At
		}
	}
	return given, asked
}

// Allows reports whether the client allowed a purpose by any channel; asked is false
// where nothing is on record.
func (c Client) Allows(purpose string) (given, asked bool) {
	for _, kind := range append([]string{""}, ChannelKinds()...) {
		g, a := c.AllowsBy(purpose, kind)
		given, asked = given || g, asked || a
	}
	return given, asked
}

// Reached lists the kinds of channel by which the client can be reached; every one
// where none is on record.
func (c Client) Reached() []string {
	var out []string
	for _, kind := range ChannelKinds() {
		if kind == "email" && c.Email != "" || kind == "phone" && c.Phone != "" || kind == "post" &&
			c.Address.Street != "" ||
			slices.ContainsFunc(c.Channels, func(x Channel) bool { return x.Kind == kind }) {
			out = append(out, kind)
		}
	}
	if len(out) == 0 {
		return ChannelKinds()
	}
	return out
}

// Contact is whether a client allowed to be offered watches by one kind of channel: yes, no,
// or not asked, which is no consent.
type Contact struct {
	Channel string `json:"channel"`
	Consent string `json:"consent"`
}

// The answers of Contact.
const (
	ConsentGiven   = "yes"
	ConsentRefused = "no"
	ConsentUnasked = "not asked"
)

// Contacts are the kinds of channel by which the client is reached, with what was allowed.
func (c Client) Contacts() []Contact {
	out := []Contact{}
	for _, kind := range c.Reached() {
		x := Contact{kind, ConsentUnasked}
		if given, asked := c.AllowsBy("offers", kind); given {
			x.Consent = ConsentGiven
		} else if asked {
			x.Consent = ConsentRefused
		}
		out = append(out, x)
	}
	return out
}

// MayOffer reports whether the client allowed to be offered watches by at least one channel.
// Where nothing is on record nothing was allowed.
func (c Client) MayOffer() bool {
	return slices.ContainsFunc(c.Contacts(), func(x Contact) bool { return x.Consent == ConsentGiven })
}

// RefusedOffers reports whether the client refused to be offered watches by every channel by
// which they are reached.
func (c Client) RefusedOffers() bool {
	return !slices.ContainsFunc(c.Contacts(), func(x Contact) bool { return x.Consent != ConsentRefused })
}

// Names reports whether the want says anything by which a watch is chosen; one of only a
// note does not.
func (w Want) Names() bool {
	return w.Maker != "" || w.Family != "" || w.Reference != "" || w.Metal != "" || w.Dial != "" || w.YearFrom != 0 ||
		w.YearTo != 0 || w.Budget.Sign() > 0 || w.ConditionFloor != 0 || w.OriginalityFloor != 0 || w.Set != "" ||
		w.Must != "" || w.MustNot != ""
}

// Ended reports whether the want's last day is past.
func (w Want) Ended(day time.Time) bool {
	last, has := w.Until.Last()
	return has && DayOf(day).After(DayOf(last))
}
