package shop

import (
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
	Note    string    `json:"note,omitempty"`
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

	CallFirst bool `json:"call_first,omitempty"` // wants to hear of everything before others
}

// ClientKinds lists what a client can be.
func ClientKinds() []string { return []string{"person", "firm", "dealer", "workshop"} }

// Address is a postal address.
type Address struct {
	Street   string `json:"street,omitempty"`
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
	Note      string    `json:"note,omitempty"`
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
	Note             string      `json:"note,omitempty"`

	Dial      string    `json:"dial,omitempty"`      // words that the dial's variant must hold
	Set       string    `json:"set,omitempty"`       // papers or full: at least that
	YearFrom  int       `json:"year_from,omitempty"` // when the watch was made
	YearTo    int       `json:"year_to,omitempty"`
	CallFirst bool      `json:"call_first,omitempty"` // wants to hear of it before others
	Added     edtf.Date `json:"added,omitzero"`
	Until     edtf.Date `json:"until,omitzero"` // the last day on which it is wanted
}
