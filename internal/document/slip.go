package document

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/money"
	"midcase/say"
)

// Party is one side of a dealing as a paper names it.
type Party struct {
	Name      string   `json:"name"`
	Lines     []string `json:"lines,omitempty"`      // address, telephone, web: one line each
	TaxNumber string   `json:"tax_number,omitempty"` // for value added tax
	Identity  string   `json:"identity,omitempty"`   // the paper by which the person proved who they are

	// What an e-invoice asks for apart from the lines above.
	Registration string   `json:"registration,omitempty"` // of a firm
	Street       []string `json:"street,omitempty"`
	City         string   `json:"city,omitempty"`
	PostCode     string   `json:"post_code,omitempty"`
	Region       string   `json:"region,omitempty"`
	Country      string   `json:"country,omitempty"` // ISO 3166-1 alpha-2
}

// Head is what every paper about a dealing says beside the dealing itself. A paper that is
// kept as JSON prints again to the same bytes.
type Head struct {
	Kind     string   `json:"kind"`
	Number   string   `json:"number"`
	Day      string   `json:"day"` // of issue, ISO 8601
	Issuer   Party    `json:"issuer"`
	SignedBy string   `json:"signed_by,omitempty"`
	LogHead  string   `json:"log_head,omitempty"` // size and root of the evidence log
	Code     string   `json:"code,omitempty"`     // what the square code says, by which the paper is checked
	Terms    []string `json:"terms,omitempty"`    // the shop's own words
	Language string   `json:"language,omitempty"` // of say.Languages; none on papers made before there were several
}

// writer writes in the language of the paper. One without a language is as it was before there were several: English,
// with days in figures.
func (h Head) writer() say.Writer {
	if w, ok := say.In(h.Language); ok {
		return w
	}
	return english.Writer
}

// when writes a day, or what of it is known, as EDTF has it.
func (h Head) when(day string) string {
	w := h.writer()
	d, err := edtf.Parse(day)
	if err != nil || h.Language == "" || len(day) == len(time.DateOnly) {
		return w.Value(say.Date(day), "")
	}
	first, begins := d.FirstMonth()
	last, ends := d.LastMonth()
	if !begins || !ends {
		return day
	}
	return w.Value(say.Months{First: first, Last: last}, "")
}

// rate writes a rate of tax or commission.
func (h Head) rate(rate string) string {
	if h.Language == "" {
		return percentOf(rate)
	}
	return rateIn(h.writer(), rate)
}

// numbered is the number as a title takes it.
func (h Head) numbered() string { return orElse(h.Number, "none") }

// Goods is the watch as a paper about a dealing describes it.
type Goods struct {
	File      string   `json:"file"` // the shop's file number
	Title     string   `json:"title"`
	Maker     string   `json:"maker,omitempty"`
	Reference string   `json:"reference,omitempty"`
	Serial    string   `json:"serial,omitempty"`
	Movement  string   `json:"movement,omitempty"` // calibre and number
	Metal     string   `json:"metal,omitempty"`
	Made      string   `json:"made,omitempty"`
	Set       string   `json:"set,omitempty"` // what comes with it
	Faults    []string `json:"faults,omitempty"`
}

// Issue gives a paper its number and what its square code says.
func (h *Head) Issue(number, code string) { h.Number, h.Code = number, code }

// Slip is a paper about one dealing: an Invoice, MemoNote, PurchaseStatement, ConsignmentNote, Settlement, WorkOrder
// or PackingList.
type Slip interface {
	Issue(number, code string)
	slip() slip
}

// slip is such a paper in words, for PDF and Markdown.
type slip struct {
	head        Head
	goods       Goods
	title       string
	lead        string // one sentence
	sides       [2]side
	facts       []fact
	lines       []amountLine
	total       amountLine
	paras       []string // what the law or the terms say
	declares    []string // what a side declares by signing, numbered
	declaration string   // who declares
	signs       []string // who signs
	cautions    []string
}

// side is a party with its part in the dealing.
type side struct {
	role  string
	party Party
}

// amountLine is one line of amounts.
type amountLine struct {
	text, sub string
	amount    money.Money
}

func (g Goods) facts(w say.Writer) []fact {
	var out []fact
	for _, f := range []fact{{name: w.Capital(say.That("slip.maker")), text: g.Maker},
		{name: w.Capital(say.That("slip.reference")), text: g.Reference},
		{name: w.Capital(say.That("slip.serial")), text: g.Serial},
		{name: w.Capital(say.That("slip.movement")), text: g.Movement},
		{name: w.Capital(say.That("slip.metal")), text: g.Metal},
		{name: w.Capital(say.That("slip.made")), text: g.Made},
		{name: w.Capital(say.That("slip.with")), text: g.Set},
		{name: w.Capital(say.That("slip.faults")), text: strings.Join(g.Faults, " ")},
		{name: w.Capital(say.That("slip.file")), text: g.File}} {
		if f.text != "" {
			out = append(out, f)
		}
	}
	return out
}

func dayOrNow(day string) time.Time {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC) // a date that is always the same
	}
	return t
}

// slipForms makes an empty paper of each kind, for reading what was kept.
var slipForms = map[string]func() Slip{
	KindInvoice: func() Slip { return new(Invoice) }, KindCredit: func() Slip { return new(Invoice) },
	KindMemo:        func() Slip { return new(MemoNote) },
	KindPurchase:    func() Slip { return new(PurchaseStatement) },
	KindConsignment: func() Slip { return new(ConsignmentNote) },
	KindWork:        func() Slip { return new(WorkOrder) },
	KindPacking:     func() Slip { return new(PackingList) },
	KindSettlement:  func() Slip { return new(Settlement) },
}

// ReadSlip reads a paper that WriteSlipJSON wrote.
func ReadSlip(b []byte) (Slip, error) {
	var of struct{ Kind string }
	if err := json.Unmarshal(b, &of); err != nil {
		return nil, fmt.Errorf("paper: %w", err)
	}
	form, ok := slipForms[of.Kind]
	if !ok {
		return nil, fmt.Errorf("paper of the kind %q; papers of this form are invoices, credit notes, memo notes, purchase statements, consignment notes and settlements", of.Kind)
	}
	s := form()
	if err := json.Unmarshal(b, s); err != nil {
		return nil, fmt.Errorf("paper of the kind %q: %w", of.Kind, err)
	}
	return s, nil
}

// WriteSlipJSON writes the paper as JSON, as it is kept.
func WriteSlipJSON(w io.Writer, s Slip) error {
	b, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		return fmt.Errorf("paper %s: %w", s.slip().head.Number, err)
	}
	_, err = w.Write(append(b, '\n'))
	return err
}

// WriteSlipMarkdown writes the paper as Markdown, with the words of the PDF.
func WriteSlipMarkdown(to io.Writer, one Slip) error {
	p := one.slip()
	m, w := &markdown{}, p.head.writer()
	m.line("# %s\n", md(p.title))
	m.line("%s\n", md(p.lead))
	for _, s := range p.sides {
		m.line("**%s**: %s\n", md(s.role), md(strings.Join(partyLines(w, s.party), ", ")))
	}
	m.facts(p.facts)
	m.line("## %s\n", md(w.Capital(say.That("slip.watch", say.Name("watch", p.goods.Title)))))
	m.facts(p.goods.facts(w))
	if len(p.lines) > 0 || p.total.text != "" {
		m.line("| | %s |\n| --- | ---: |", md(w.Capital(say.That("slip.amount"))))
		for _, l := range p.lines {
			m.line("| %s%s | %s |", md(l.text), md(after(": ", l.sub)), exactIn(w, l.amount))
		}
		if p.total.text != "" {
			m.line("| **%s** | **%s** |", md(p.total.text), exactIn(w, p.total.amount))
		}
		m.line("")
	}
	for _, t := range p.paras {
		m.line("%s\n", md(t))
	}
	if len(p.declares) > 0 {
		m.line("%s\n", md(p.declaration))
		for i, d := range p.declares {
			m.line("%d. %s", i+1, md(d))
		}
		m.line("")
	}
	for _, t := range p.head.Terms {
		m.line("- %s", md(t))
	}
	if len(p.head.Terms) > 0 {
		m.line("")
	}
	for _, s := range p.signs {
		m.line("%s: ______________________\n", md(w.Capital(say.That("slip.sign-line", say.Name("who", s)))))
	}
	for _, c := range p.cautions {
		m.line("_%s_\n", md(c))
	}
	if p.head.LogHead != "" {
		m.line("_%s: %s_\n", md(w.Capital(say.That("slip.log"))), md(p.head.LogHead))
	}
	if _, err := io.WriteString(to, m.b.String()); err != nil {
		return fmt.Errorf("paper %s: write: %w", orDash(p.head.Number), err)
	}
	return nil
}

func partyLines(w say.Writer, p Party) []string {
	out := append([]string{orElse(p.Name, w.String(say.That("slip.not-stated")))}, p.Lines...)
	if p.TaxNumber != "" {
		out = append(out, w.Capital(say.That("slip.tax-number", say.Name("number", p.TaxNumber))))
	}
	if p.Registration != "" {
		out = append(out, w.Capital(say.That("slip.registered", say.Name("number", p.Registration))))
	}
	if p.Identity != "" {
		out = append(out, w.Capital(say.That("slip.identity", say.Name("identity", p.Identity))))
	}
	return out
}
