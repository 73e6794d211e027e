package cli

import (
	"fmt"
	"io"
	"strings"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/people"
	"midcase/money"
)

type clientsCmd struct {
	List   clientsListCmd   `cmd:"" help:"List clients."`
	Show   clientsShowCmd   `cmd:"" help:"Show one client."`
	Add    clientsAddCmd    `cmd:"" help:"Add a client."`
	Want   clientsWantCmd   `cmd:"" help:"Add what a client is looking for, and show what in stock matches."`
	Match  clientsMatchCmd  `cmd:"" help:"Find the clients who want a watch, likeliest buyers first, or the watches that a client wants."`
	Import clientsImportCmd `cmd:"" help:"Import clients from CSV or vCards. Duplicates are found."`
	Export clientsExportCmd `cmd:"" help:"Export all clients as vCards, or everything kept about one as JSON."`
	Redact clientsRedactCmd `cmd:"" help:"Take the words of evidence and notes that name a client away for good. The log keeps their hash."`
	Erase  clientsEraseCmd  `cmd:"" help:"Erase a client's personal data for good. Ledger entries stay, without the name."`
	Log    clientsLogCmd    `cmd:"" help:"Access log: who saw or changed client data."`

	End     clientsEndCmd     `cmd:"" help:"End something that a client is looking for. It stays on record."`
	Consent clientsConsentCmd `cmd:"" help:"Record what a client allowed or refused."`
	Address clientsAddressCmd `cmd:"" help:"Set address, country and tax number of a client."`
	Channel clientsChannelCmd `cmd:"" help:"Add a way to reach a client, or remove one."`
	Offer   clientsOfferCmd   `cmd:"" help:"Record that a watch was shown, offered or promised to a client, and the answer."`
	Private clientsPrivateCmd `cmd:"" help:"Show a watch privately only until a day, or to everybody."`
	Link    clientsLinkCmd    `cmd:"" help:"Private links: one watch for one client, for some days."`
	Key     clientsKeyCmd     `cmd:"" help:"The key that encrypts the client data."`
}

type clientsListCmd struct {
	table
	Text string `arg:"" optional:"" help:"Only clients with this text in name, e-mail address or note."`
}

// Run lists clients.
func (c clientsListCmd) Run(a *app, s *opened) error {
	all, err := s.People.All(a.ctx)
	text := strings.ToLower(strings.TrimSpace(c.Text))
	found := []shop.Client{}
	for _, x := range all {
		if text == "" || strings.Contains(strings.ToLower(x.Name+"\n"+x.Email+"\n"+x.Note), text) {
			found = append(found, x)
		}
	}
	return list(a, c.table, found, err, "No clients found.", "CLIENT|NAME|E-MAIL|PHONE|COUNTRY|WANTS",
		func(x shop.Client) cells {
			name := x.Name
			if !x.Erased.IsZero() {
				name = "(erased " + x.Erased.Format("2006-01-02") + ")"
			}
			return cells{x.ID, name, x.Email, x.Phone, x.Country, len(x.Wants)}
		})
}

type clientsShowCmd struct {
	onClient
	output
}

// Run shows one client.
func (c clientsShowCmd) Run(a *app, s *opened, x shop.Client) error {
	return a.client(x, nil, c.output)
}

// client prints a client, or what went wrong with it.
func (a *app) client(x shop.Client, err error, o output) error {
	return o.print(a, x, err, func() error {
		_, err := io.WriteString(a.out, a.bold(x.Name)+"\n"+strings.Join(a.clientLines(x), "\n")+"\n")
		return err
	})
}

func (a *app) clientLines(x shop.Client) []string {
	lines := []string{x.ID}
	address := strings.TrimPrefix(strings.TrimSpace(x.Address.Street+", "+strings.TrimSpace(x.Address.PostCode+" "+
		x.Address.City)), ",")
	number := ""
	if x.TaxNumber != "" {
		number = "tax number " + x.TaxNumber
	}
	for _, line := range []string{x.Email, x.Phone, strings.Trim(address, ", "), x.Country, number, x.Note} {
		if line != "" {
			lines = append(lines, line)
		}
	}
	for _, c := range x.Channels {
		lines = append(lines, strings.TrimSpace(c.Kind+" "+c.Label)+": "+c.Value)
	}
	for _, purpose := range shop.ConsentPurposes() {
		for _, kind := range append([]string{""}, x.Reached()...) {
			if given, asked := x.AllowsBy(purpose, kind); asked {
				lines = append(lines, strings.TrimSpace(purpose+" "+kind)+": "+map[bool]string{true: "allowed",
					false: "refused"}[given])
			}
		}
	}
	if x.CallFirst {
		lines = append(lines, "wants to be called first")
	}
	for i, w := range x.Wants {
		ended := ""
		if w.Ended(a.now()) {
			ended = " (ended)"
		}
		lines = append(lines, fmt.Sprintf("wants %d: %s%s", i+1, wantWords(w), ended))
	}
	return lines
}

// wantWords is a want in a line.
func wantWords(w shop.Want) string {
	var out []string
	add := func(said bool, format string, args ...any) {
		if said {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	watch := strings.Join(strings.Fields(w.Maker+" "+w.Family+" "+w.Reference+" "+w.Metal), " ")
	add(watch != "", "%s", watch)
	add(w.Dial != "", "dial %s", w.Dial)
	add(w.ConditionFloor > 0, "condition %s or better", figure(w.ConditionFloor, 1))
	add(w.OriginalityFloor > 0, "at least %s original", percent(w.OriginalityFloor))
	add(w.Set != "", "%s", w.Set)
	add(w.YearFrom != 0 || w.YearTo != 0, "made %s", years(w.YearFrom, w.YearTo))
	add(!w.Budget.IsZero(), "up to %s", exact(w.Budget))
	add(w.CallFirst, "call first")
	add(w.Note != "", "%s", w.Note)
	return strings.Join(out, ", ")
}

// years names a span of which one end may be open.
func years(from, to int) string {
	switch {
	case from == 0:
		return fmt.Sprintf("in %d or earlier", to)
	case to == 0:
		return fmt.Sprintf("in %d or later", from)
	}
	return fmt.Sprintf("%d–%d", from, to)
}

type clientsAddCmd struct {
	doer
	output
	Name    string `arg:"" help:"The name."`
	Kind    string `help:"person, firm, dealer or workshop." enum:"person,firm,dealer,workshop" default:"person"`
	Email   string `help:"E-mail address."`
	Phone   string `help:"Telephone number."`
	Country string `help:"Country, by two letters." placeholder:"CH"`

	TaxNumber string `help:"Tax number of a business, such as DE123456789." placeholder:"NUMBER"`
	Street    string `help:"Street and number."`
	PostCode  string `help:"Post code."`
	City      string `help:"City."`

	Note   string `help:"A note."`
	Paper  string `help:"Identity document shown, such as passport." placeholder:"DOCUMENT"`
	Number string `help:"Number of that document." placeholder:"NUMBER"`
}

// Run adds a client.
func (c clientsAddCmd) Run(a *app, s making) error {
	x := shop.Client{Name: c.Name, Kind: c.Kind, Email: c.Email, Phone: c.Phone, Country: strings.ToUpper(c.Country),
		Note: c.Note, TaxNumber: shop.TaxNumber(c.TaxNumber), Address: shop.Address{Street: c.Street,
			PostCode: c.PostCode,
			City:     c.City}}
	if c.Paper != "" {
		seen, err := parseDate(a.now().Format("2006-01-02"))
		if err != nil {
			return err
		}
		x.Identity = &shop.Identity{Paper: c.Paper, Number: c.Number, By: c.who(), Seen: seen}
	}
	x, err := s.People.Add(a.ctx, x)
	return c.line(a, x, err, "%s", x.ID)
}

type clientsWantCmd struct {
	onClient
	table
	Maker       string      `help:"Maker."`
	Reference   string      `help:"Reference number."`
	Family      string      `help:"Family."`
	Metal       string      `help:"Metal, as the book names it."`
	Dial        string      `help:"Words that the dial's name must contain."`
	Condition   float64     `help:"Lowest grade, 1 to 10."`
	Originality float64     `help:"Lowest share of original parts, 0 to 1."`
	Must        string      `help:"Findings that must be on record, such as unpolished, with commas between them." placeholder:"TERMS"`
	MustNot     string      `help:"Findings that must not be on record, such as relumed." placeholder:"TERMS"`
	AsTyped     bool        `help:"Names that the book does not have are meant as typed."`
	Set         string      `help:"papers or full: at least that." enum:",watch,papers,full" default:""`
	From        int         `help:"Made in this year or later." placeholder:"YEAR"`
	To          int         `help:"Made in this year or earlier." placeholder:"YEAR"`
	Budget      money.Money `help:"Highest price, such as 5000EUR." placeholder:"AMOUNT"`
	CallFirst   bool        `help:"Wants to be called before others."`
	Until       edtf.Date   `help:"Last day on which it is wanted." placeholder:"2026-03-01"`
	Note        string      `help:"A note."`
}

// Run adds a want.
func (c clientsWantCmd) Run(a *app, s *opened, x shop.Client) error {
	_, found, err := s.People.AddWant(a.ctx, x.ID, shop.Want{Maker: c.Maker, Reference: c.Reference, Family: c.Family,
		Metal: c.Metal, Dial: c.Dial, ConditionFloor: c.Condition, OriginalityFloor: c.Originality, Set: c.Set,
		YearFrom: c.From, YearTo: c.To, Budget: c.Budget, CallFirst: c.CallFirst, Until: c.Until, Note: c.Note,
		Must: c.Must, MustNot: c.MustNot, AsTyped: c.AsTyped})
	return a.matches(found, err, c.table)
}

type clientsMatchCmd struct {
	table
	Watch  string `arg:"" optional:"" help:"Id, file number or serial number of a watch."`
	Client string `help:"Show what in stock this client wants." placeholder:"CLIENT"`
}

// Run matches.
func (c clientsMatchCmd) Run(a *app, s *opened) error {
	if (c.Watch == "") == (c.Client == "") {
		return wrong("give a watch, or --client CLIENT")
	}
	if c.Client != "" {
		id, err := clientID(a, s, c.Client)
		if err != nil {
			return err
		}
		found, err := s.People.MatchWant(a.ctx, id)
		return a.matches(found, err, c.table)
	}
	w, err := s.Find(a.ctx, c.Watch)
	if err != nil {
		return err
	}
	found, err := s.People.MatchWatch(a.ctx, w.ID)
	return a.matches(found, err, c.table)
}

// matches prints matches, the likeliest buyers first.
func (a *app) matches(found []people.Match, err error, t table) error {
	return list(a, t, found, err, "No matches.", "CLIENT|WATCH|FIT|SCORE||WHY", func(m people.Match) cells {
		flag := ""
		switch {
		case m.Refused:
			flag = "do not contact"
		case m.Promised:
			flag = "has first refusal"
		case !m.NotBefore.IsZero():
			flag = "not before " + m.NotBefore.String()
		case m.CallFirst:
			flag = "call first"
		case !m.MayContact:
			flag = "consent not asked"
		}
		return cells{orElse(m.Name, m.Client), m.Title, number{m.Fit, 2}, number{m.Chance, 2}, flag,
			strings.Join(m.Reasons, "; ")}
	})
}

type clientsLogCmd struct {
	table
	Client string `arg:"" optional:"" help:"Id, name or e-mail address of a client (default: all)."`
}

// Run prints the log of accesses.
func (c clientsLogCmd) Run(a *app, s *opened) error {
	id, err := clientID(a, s, c.Client)
	if err != nil {
		return err
	}
	all, err := s.People.Accesses(a.ctx, id)
	return list(a, c.table, all, err, "Nobody has seen or changed client data.", "AT|BY|CLIENT|WHAT",
		func(x shop.Access) cells { return cells{x.At.Format("2006-01-02 15:04:05"), x.By, x.Client, x.What} })
}
