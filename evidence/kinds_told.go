package evidence

import (
	"fmt"
	"regexp"
	"strconv"

	"midcase/edtf"
	"midcase/money"
)

var countryForm = regexp.MustCompile(`^[A-Z]{2}$`)

// DocumentKinds lists what a document can be.
func DocumentKinds() []string {
	return []string{"papers", "receipt", "archive_extract", "service_record", "letter", "advertisement", "other"}
}

// Document is paper that came with the watch or was obtained for it.
type Document struct {
	What string    `json:"what"`
	Date edtf.Date `json:"date,omitzero"`
	// Serial and Reference are what the paper says, for holding against the watch.
	Serial    string `json:"serial,omitempty"`
	Reference string `json:"reference,omitempty"`
	// MadeDate is when the paper says the watch was made (an archive extract).
	MadeDate edtf.Date `json:"made_date,omitzero"`
	// Country is where the paper says the watch was delivered or sold when new, by its
	// ISO 3166-1 code of two letters.
	Country string `json:"country,omitempty"`
	Text    string `json:"text,omitempty" typed:"text"`
	Blob    string `json:"blob,omitempty"`
}

// Kind implements Data.
func (*Document) Kind() Kind { return KindDocument }

// Check implements Data.
func (d *Document) Check() (p Problems) {
	oneOf(&p, "what", d.What, DocumentKinds())
	if d.Country != "" && !countryForm.MatchString(d.Country) {
		p.add("country", quote(d.Country), "two capital letters (ISO 3166-1), such as US")
	}
	return p
}

func (d *Document) dates() []namedDate {
	return []namedDate{{"date", d.Date}, {"made_date", d.MadeDate}}
}

// Claim is what somebody says about the watch. It is kept and never counted as
// fact.
type Claim struct {
	About string      `json:"about"` // "price", "year", "polished", "one owner"
	Text  string      `json:"text" typed:"text"`
	From  string      `json:"from,omitempty"`
	Price money.Money `json:"price,omitzero"`
	Told  Told        `json:"told,omitzero"`
}

// Told is a claim in figures, or what was seen at a glance over the counter. Until that
// is examined, the value of the watch counts it, with the doubt of it.
type Told struct {
	Grade float64 `json:"grade,omitempty"` // 1–10
	Year  int     `json:"year,omitempty"`  // of making
	Set   string  `json:"set,omitempty"`   // watch, papers or full
	Metal string  `json:"metal,omitempty"`
}

func (t Told) check(p *Problems) {
	if t.Grade != 0 && !(t.Grade >= 1 && t.Grade <= 10) {
		p.add("told.grade", fmt.Sprint(t.Grade), "a grade from 1 to 10")
	}
	if t.Year != 0 && (t.Year < 1800 || t.Year > 2100) {
		p.add("told.year", fmt.Sprint(t.Year), "a year of making, such as 1968")
	}
	if t.Set != "" {
		oneOf(p, "told.set", t.Set, []string{"watch", "papers", "full"})
	}
}

// Kind implements Data.
func (*Claim) Kind() Kind { return KindClaim }

// Check implements Data.
func (c *Claim) Check() (p Problems) {
	p.need("about", c.About, "what the claim is about, such as price")
	p.need("text", c.Text, "the claim in the words of whoever made it")
	if !c.Price.IsZero() && c.Price.Sign() <= 0 {
		p.add("price", c.Price.String(), "an amount above zero")
	}
	c.Told.check(&p)
	return p
}

// Replaced is one part that work put in.
type Replaced struct {
	Slot    Slot   `json:"slot"`
	Variant string `json:"variant,omitempty"`
	Kept    bool   `json:"kept,omitempty"` // the old part is kept with the watch
}

// Work is a service or a repair.
type Work struct {
	What     string      `json:"what"` // "service", "repair", "polish", "pressure test"
	By       string      `json:"by,omitempty"`
	Date     edtf.Date   `json:"date,omitzero"`
	Replaced []Replaced  `json:"replaced,omitempty"`
	Cost     money.Money `json:"cost,omitzero"`
	Text     string      `json:"text,omitempty" typed:"text"`
}

// Kind implements Data.
func (*Work) Kind() Kind { return KindWork }

// Check implements Data.
func (w *Work) Check() (p Problems) {
	p.need("what", w.What, "what was done, such as service")
	for i, r := range w.Replaced {
		if !r.Slot.Valid() {
			p.add("replaced["+strconv.Itoa(i)+"].slot", quote(string(r.Slot)), "one of "+list(Slots()))
		}
	}
	if !w.Cost.IsZero() && w.Cost.Sign() < 0 {
		p.add("cost", w.Cost.String(), "an amount of zero or more")
	}
	return p
}

func (w *Work) dates() []namedDate { return []namedDate{{"date", w.Date}} }

// Check is a look-up made, such as in a register of lost and stolen watches. It is
// what was asked and answered on that day, no proof of title.
type Check struct {
	Register  string    `json:"register"`
	Date      edtf.Date `json:"date"`
	Result    string    `json:"result" jsonschema:"enum=clear,enum=match,enum=unclear"`
	Reference string    `json:"reference,omitempty"` // the register's own number
}

// Kind implements Data.
func (*Check) Kind() Kind { return KindCheck }

// Check implements Data.
func (c *Check) Check() (p Problems) {
	p.need("register", c.Register, "the name of the register")
	if c.Date.IsZero() {
		p.add("date", "nothing", "the day on which the register was asked")
	}
	oneOf(&p, "result", c.Result, []string{"clear", "match", "unclear"})
	return p
}

func (c *Check) dates() []namedDate { return []namedDate{{"date", c.Date}} }

// Withdrawal takes back an earlier item. The item stays on the record, unless its words were taken away with it.
type Withdrawal struct {
	Of      ID     `json:"of"`
	Reason  string `json:"reason" typed:"text"`
	Redacts string `json:"redacts,omitempty"` // the hash of the record whose words were taken away; see Redacted
}

// Kind implements Data.
func (*Withdrawal) Kind() Kind { return KindWithdrawal }

// Check implements Data.
func (w *Withdrawal) Check() (p Problems) {
	p.need("of", string(w.Of), "the id of the item to withdraw")
	p.need("reason", w.Reason, "why it is withdrawn")
	return p
}

func quote(s string) string {
	if s == "" {
		return "nothing"
	}
	return strconv.Quote(s)
}
