package client

import (
	"encoding/json"
	"time"
)

// Money is an exact amount.
type Money struct {
	Amount   string `json:"amount" pattern:"^-?[0-9]+(\\.[0-9]+)?$" doc:"A decimal, such as 9500.00." example:"9500.00"`
	Currency string `json:"currency" pattern:"^[A-Z]{3}$" doc:"ISO 4217." example:"EUR"`
}

// Watch is the shop's record of one watch. Fields that are not for whoever asks are left out.
type Watch struct {
	ID        string    `json:"id" example:"w_demo01"`
	Number    int       `json:"number" doc:"The file number on labels and papers."`
	Title     string    `json:"title"`
	Maker     string    `json:"maker"`
	Reference string    `json:"reference"`
	Serial    string    `json:"serial,omitempty"`
	State     string    `json:"state" doc:"Where the watch stands in its life in the shop."`
	Place     string    `json:"place,omitempty"`
	Cost      *Money    `json:"cost,omitempty" doc:"What was paid; for those who may see costs."`
	Asked     *Money    `json:"asked,omitempty" doc:"What a seller asks of the shop; for those who may see costs."`
	Asking    *Money    `json:"asking,omitempty" doc:"What the shop asks of buyers."`
	Acquired  string    `json:"acquired,omitempty" format:"edtf" doc:"EDTF level 1."`
	Client    string    `json:"client,omitempty" doc:"A client's id; for those who may see clients."`
	Holder    string    `json:"holder,omitempty" doc:"Who has it in hand, where not the shop."`
	Owned     string    `json:"owned,omitempty" doc:"On whose account it is held."`
	Due       string    `json:"due,omitempty" format:"edtf" doc:"The day it is due back, or until which it is reserved."`
	PrivateTo string    `json:"private_to,omitempty" format:"edtf" doc:"The last day on which it is shown privately only."`
	Note      string    `json:"note,omitempty"`
	Created   time.Time `json:"created"`
	Changed   time.Time `json:"changed"`
	Version   int       `json:"version" doc:"Counts changes of the record."`
}

// Watches is a page of watches.
type Watches struct {
	Items []Watch `json:"items"`
	Next  string  `json:"next,omitempty" doc:"The cursor of the next page; left out on the last one."`
}

// WatchChange is what may be changed of a watch's record; a field left out stays as it is.
type WatchChange struct {
	Place  *string `json:"place,omitempty" maxLength:"200" example:"safe, tray 3"`
	Note   *string `json:"note,omitempty" maxLength:"4000"`
	Asking *Money  `json:"asking,omitempty" doc:"What the shop asks of buyers."`
}

// StockLine is a watch with the opinion on it in a line.
type StockLine struct {
	Watch    Watch     `json:"watch"`
	Made     string    `json:"made,omitempty" format:"edtf" doc:"90 % range of the months in which it was made."`
	Grade    *float64  `json:"grade,omitempty" doc:"Condition from 1 to 10."`
	Value    *Estimate `json:"value,omitempty" doc:"In the shop's currency; left out where there is none."`
	Profit   *float64  `json:"expected_profit,omitempty" doc:"In the shop's currency; for those who may see costs."`
	Items    int       `json:"items" doc:"Items of evidence in force."`
	Troubles []string  `json:"troubles,omitempty" doc:"What stands out, such as a part that does not belong."`
	Problem  string    `json:"problem,omitempty" doc:"Why there is no opinion."`
	Forming  bool      `json:"forming,omitempty" doc:"There is no opinion yet: it is being formed."`
}

// Estimate is a figure with its range.
type Estimate struct {
	Median   float64    `json:"median"`
	Interval [2]float64 `json:"interval_80" doc:"The 80 % range."`
	Currency string     `json:"currency"`
}

// Stock is a page of the stock list.
type Stock struct {
	Items   []StockLine `json:"items"`
	Next    string      `json:"next,omitempty" doc:"The cursor of the next page; left out on the last one."`
	Forming int         `json:"forming" doc:"How many opinions are out of date and being formed anew."`
}

// Evidence is the evidence on one watch, or a page of it, in the order of recording.
type Evidence struct {
	Items []Item `json:"items"`
	Next  string `json:"next,omitempty" doc:"The cursor of the next page; left out on the last one."`
}

// Item is one piece of evidence. Data has the fields of its kind.
type Item struct {
	ID     string          `json:"id"`
	Schema int             `json:"schema,omitempty"`
	Kind   string          `json:"kind"`
	At     time.Time       `json:"at"`
	By     string          `json:"by"`
	Note   string          `json:"note,omitempty"`
	Data   json.RawMessage `json:"data"`
}

// NewItem is one piece of evidence to be recorded. Data has the fields of its kind.
type NewItem struct {
	Kind string          `json:"kind"`
	Data json.RawMessage `json:"data"`
}

// NewEvidence is evidence to be recorded, all or none.
type NewEvidence struct {
	Items []NewItem `json:"items" minItems:"1" maxItems:"200"`
}

// Sale is one recorded sale of the market.
type Sale struct {
	ID           string   `json:"sale" doc:"Follows from the sale itself, so that one sent twice is one."`
	Date         string   `json:"date" doc:"ISO 8601 day, month or year."`
	Maker        string   `json:"maker"`
	Reference    string   `json:"reference"`
	Price        Money    `json:"price"`
	Family       string   `json:"family,omitempty"`
	Metal        string   `json:"metal,omitempty"`
	Dial         string   `json:"dial,omitempty"`
	Year         int      `json:"year,omitempty" doc:"Of making."`
	Condition    *float64 `json:"condition,omitempty" doc:"1 to 10."`
	Completeness string   `json:"completeness,omitempty"`
	Originality  *float64 `json:"originality,omitempty" doc:"0 to 1."`
	Country      string   `json:"country,omitempty" doc:"ISO 3166-1 alpha-2."`
	Venue        string   `json:"venue,omitempty"`
	Basis        string   `json:"basis,omitempty"`
	Serial       string   `json:"serial,omitempty"`
	Source       string   `json:"source,omitempty"`
	Note         string   `json:"note,omitempty"`
}

// Sales is a page of sales, the newest first.
type Sales struct {
	Items []Sale `json:"items"`
	Next  string `json:"next,omitempty" doc:"The cursor of the next page; left out on the last one."`
}

// NewSale is a sale to be added.
type NewSale struct {
	Date         string   `json:"date" doc:"ISO 8601 day, month or year." example:"2026-09-14"`
	Maker        string   `json:"maker" minLength:"1"`
	Reference    string   `json:"reference" minLength:"1"`
	Price        Money    `json:"price"`
	Family       string   `json:"family,omitempty"`
	Metal        string   `json:"metal,omitempty"`
	Dial         string   `json:"dial,omitempty"`
	Year         int      `json:"year,omitempty" doc:"Of making."`
	Condition    *float64 `json:"condition,omitempty" minimum:"1" maximum:"10"`
	Completeness string   `json:"completeness,omitempty" enum:"watch,papers,full"`
	Originality  *float64 `json:"originality,omitempty" minimum:"0" maximum:"1"`
	Country      string   `json:"country,omitempty" pattern:"^[A-Z]{2}$" doc:"ISO 3166-1 alpha-2."`
	Venue        string   `json:"venue,omitempty" enum:"auction,dealer,private,trade"`
	Basis        string   `json:"basis,omitempty" enum:"hammer,all-in,asking,sold"`
	Serial       string   `json:"serial,omitempty"`
	Source       string   `json:"source,omitempty"`
	Note         string   `json:"note,omitempty"`
}

// NewSales are sales to be added.
type NewSales struct {
	Items []NewSale `json:"items" minItems:"1" maxItems:"5000"`
}

// SalesAdded says what became of sales that were sent.
type SalesAdded struct {
	Read     int           `json:"rows_read"`
	Added    int           `json:"rows_added"`
	Known    int           `json:"rows_known" doc:"Good ones that were there already."`
	Rejected []RejectedRow `json:"rejected"`
}

// RejectedRow is a sale that was kept out.
type RejectedRow struct {
	Item  int    `json:"item" doc:"Its place among those sent, from 0."`
	Field string `json:"field,omitempty"`
	Found string `json:"found"`
	Want  string `json:"want"`
}

// Client is a person or firm that the shop knows. What was seen of the person's identity is not given out.
type Client struct {
	ID        string    `json:"id"`
	Name      string    `json:"name"`
	Kind      string    `json:"kind" doc:"person, firm, dealer or workshop."`
	Email     string    `json:"email,omitempty"`
	Phone     string    `json:"phone,omitempty"`
	Country   string    `json:"country,omitempty"`
	Language  string    `json:"language,omitempty" doc:"BCP 47."`
	Address   *Address  `json:"address,omitempty"`
	Note      string    `json:"note,omitempty"`
	CallFirst bool      `json:"call_first,omitempty" doc:"Wants to hear of everything before others."`
	Created   time.Time `json:"created"`
	Changed   time.Time `json:"changed"`
	Version   int       `json:"version"`
}

// Address is a postal address.
type Address struct {
	Street   string `json:"street,omitempty"`
	City     string `json:"city,omitempty"`
	Region   string `json:"region,omitempty"`
	PostCode string `json:"post_code,omitempty"`
	Country  string `json:"country,omitempty" doc:"ISO 3166-1 alpha-2."`
}

// Clients is a page of clients.
type Clients struct {
	Items []Client `json:"items"`
	Next  string   `json:"next,omitempty" doc:"The cursor of the next page; left out on the last one."`
}

// Maker is a maker of the reference book with its references in short.
type Maker struct {
	ID         string           `json:"id" example:"corvane"`
	Name       string           `json:"name"`
	Aliases    []string         `json:"aliases,omitempty"`
	Country    string           `json:"country,omitempty"`
	References []ReferenceShort `json:"references"`
}

// ReferenceShort is a reference in a list.
type ReferenceShort struct {
	ID     string `json:"id"`
	Name   string `json:"name,omitempty"`
	Family string `json:"family,omitempty"`
}

// Makers are the makers of the reference book.
type Makers struct {
	Items []Maker `json:"items"`
}

// Reference is what the book knows of one of a maker's model numbers.
type Reference struct {
	Maker     string            `json:"maker" doc:"The maker's id."`
	ID        string            `json:"id"`
	Name      string            `json:"name,omitempty"`
	Family    string            `json:"family,omitempty"`
	Made      string            `json:"made,omitempty" format:"edtf" doc:"EDTF level 1, an interval."`
	Metal     string            `json:"metal,omitempty"`
	Calibres  []string          `json:"calibres,omitempty"`
	Bracelets []string          `json:"bracelets,omitempty"`
	Features  map[string]string `json:"features,omitempty"`
	Sizes     []Size            `json:"sizes,omitempty"`
	Slots     []PartSlot        `json:"slots,omitempty"`
	Note      string            `json:"note,omitempty"`
	Source    string            `json:"source,omitempty"`
}

// Size is a nominal size.
type Size struct {
	What        string  `json:"what"`
	MM          float64 `json:"mm"`
	ToleranceMM float64 `json:"tolerance_mm,omitempty"`
}

// PartSlot lists the versions of one part.
type PartSlot struct {
	Slot     string        `json:"slot"`
	Replaced float64       `json:"replaced" doc:"The chance that a watch in the trade no longer has its first one."`
	Versions []PartVersion `json:"versions"`
}

// PartVersion is one known version of a part.
type PartVersion struct {
	ID      string   `json:"id"`
	Name    string   `json:"name"`
	Look    string   `json:"look,omitempty"`
	Service bool     `json:"service,omitempty" doc:"Made for repairs."`
	Fitted  []string `json:"fitted,omitempty" doc:"When the factory fitted it; EDTF level 1, intervals."`
}

// Paper is a paper that the shop issued.
type Paper struct {
	ID     string      `json:"id"`
	Kind   string      `json:"kind"`
	Number string      `json:"number"`
	Watch  string      `json:"watch,omitempty"`
	Title  string      `json:"title"`
	Day    string      `json:"day" format:"date"`
	At     time.Time   `json:"at"`
	By     string      `json:"by"`
	Client string      `json:"client,omitempty" doc:"A client's id; for those who may see clients."`
	Total  *Money      `json:"total,omitempty"`
	Files  []PaperFile `json:"files"`
}

// PaperFile is one file of a paper.
type PaperFile struct {
	Ending string `json:"ending" doc:"pdf, md, json, html or xml."`
	SHA256 string `json:"sha256"`
	Size   int    `json:"size" doc:"In bytes."`
}

// Papers is a page of papers, the latest first.
type Papers struct {
	Items []Paper `json:"items"`
	Next  string  `json:"next,omitempty" doc:"The cursor of the next page; left out on the last one."`
}

// Appointment is a day that something falls due.
type Appointment struct {
	ID     string `json:"id" doc:"The same each time."`
	Day    string `json:"day" format:"date"`
	What   string `json:"what"`
	Watch  string `json:"watch"`
	Number int    `json:"number"`
	Title  string `json:"title"`
	Place  string `json:"place,omitempty"`
	Client string `json:"client,omitempty" doc:"A client's id."`
}

// Calendar is what falls due, the earliest first.
type Calendar struct {
	Items []Appointment `json:"items"`
}

// Problem is why a request was refused (RFC 9457).
type Problem struct {
	Title  string         `json:"title,omitempty"`
	Status int            `json:"status,omitempty"`
	Detail string         `json:"detail,omitempty"`
	Errors []ProblemField `json:"errors,omitempty"`
}

// ProblemField is one field that will not do.
type ProblemField struct {
	Message  string `json:"message,omitempty"`
	Location string `json:"location,omitempty"`
	Value    any    `json:"value,omitempty"`
}

// Error implements error.
func (p *Problem) Error() string {
	says := p.Detail
	if says == "" {
		says = p.Title
	}
	for _, f := range p.Errors {
		says += "; "
		if f.Location != "" {
			says += f.Location + ": "
		}
		says += f.Message
	}
	return says
}

// Hook is an address that hears of changes.
type Hook struct {
	ID     string    `json:"id"`
	URL    string    `json:"url"`
	Events []string  `json:"events"`
	By     string    `json:"by"`
	Made   time.Time `json:"made"`
	Secret string    `json:"secret,omitempty" doc:"With which messages are signed; given once, when the address is added."`
}

// NewHook is an address to be told of changes.
type NewHook struct {
	URL    string   `json:"url" maxLength:"500" doc:"With TLS, or on the shop's own machine."`
	Events []string `json:"events" minItems:"1" enum:"watch.changed,evidence.added,sale.booked,paper.issued"`
}

// Hooks are the addresses that hear of changes.
type Hooks struct {
	Items []Hook `json:"items"`
}

// SentMessage is what came of one message.
type SentMessage struct {
	ID    string     `json:"id"`
	Event string     `json:"event"`
	Made  time.Time  `json:"made"`
	Tries int        `json:"tries"`
	Due   *time.Time `json:"due,omitempty" doc:"When it is tried again."`
	Done  *time.Time `json:"done,omitempty" doc:"When it was taken."`
	Says  string     `json:"says,omitempty" doc:"What came of the last try."`
}

// Messages are messages to one address.
type Messages struct {
	Items []SentMessage `json:"items"`
}
