package cli

import (
	"fmt"
	"io"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/people"
)

type clientsCmd struct {
	List   clientsListCmd   `cmd:"" help:"List clients."`
	Show   clientsShowCmd   `cmd:"" help:"Show one client."`
	Add    clientsAddCmd    `cmd:"" help:"Add a client."`
	Want   clientsWantCmd   `cmd:"" help:"Add what a client looks for, and show what in stock meets it."`
	Match  clientsMatchCmd  `cmd:"" help:"Clients who want a watch, the likeliest buyers first; or watches that a client wants."`
	Import clientsImportCmd `cmd:"" help:"Import clients from CSV or vCards. Duplicates are found."`
	Export clientsExportCmd `cmd:"" help:"Export all clients as vCards, or everything kept about one as JSON."`
	Erase  clientsEraseCmd  `cmd:"" help:"Erase a client's personal data for good. Ledger entries stay, without the name."`
	Log    clientsLogCmd    `cmd:"" help:"Who saw or changed client data."`

	End     clientsEndCmd     `cmd:"" help:"End something that a client looks for. It stays on record."`
	Consent clientsConsentCmd `cmd:"" help:"Record what a client allowed or refused."`
	Channel clientsChannelCmd `cmd:"" help:"Add a way to reach a client, or take one off the record."`
	Offer   clientsOfferCmd   `cmd:"" help:"Record that a watch was shown, offered or promised to a client, and the answer."`
	Private clientsPrivateCmd `cmd:"" help:"Show a watch privately only until a day, or to all."`
	Key     clientsKeyCmd     `cmd:"" help:"The key under which client data are encrypted."`
}

type clientsListCmd struct {
	Text string `arg:"" optional:"" help:"Only clients with this text in name, e-mail address or note."`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run lists clients.
func (c clientsListCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	all, err := s.People.All(a.ctx)
	if err != nil {
		return err
	}
	text := strings.ToLower(strings.TrimSpace(c.Text))
	found := []shop.Client{}
	for _, x := range all {
		if text == "" || strings.Contains(strings.ToLower(x.Name+"\n"+x.Email+"\n"+x.Note), text) {
			found = append(found, x)
		}
	}
	if c.JSON {
		return a.printJSON(found)
	}
	rows := [][]string{{"CLIENT", "NAME", "E-MAIL", "PHONE", "COUNTRY", "WANTS"}}
	for _, x := range found {
		name := x.Name
		if !x.Erased.IsZero() {
			name = "(erased " + x.Erased.Format("2006-01-02") + ")"
		}
		rows = append(rows, []string{x.ID, name, x.Email, x.Phone, x.Country, fmt.Sprint(len(x.Wants))})
	}
	return a.table(rows)
}

type clientsShowCmd struct {
	Client string `arg:"" help:"Id, name or e-mail address."`
	JSON   bool   `name:"json" help:"Print JSON."`
}

// Run shows one client.
func (c clientsShowCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	x, err := s.People.Find(a.ctx, c.Client)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(x)
	}
	a.client(x)
	return nil
}

// client prints one client.
func (a *app) client(x shop.Client) {
	fmt.Fprintf(a.out, "%s\n%s\n", a.bold(x.Name), x.ID)
	for _, line := range []string{x.Email, x.Phone, x.Country, x.Note} {
		if line != "" {
			fmt.Fprintln(a.out, line)
		}
	}
	for _, c := range x.Channels {
		fmt.Fprintf(a.out, "%s: %s\n", strings.TrimSpace(c.Kind+" "+c.Label), c.Value)
	}
	for _, purpose := range shop.ConsentPurposes() {
		for _, kind := range append([]string{""}, x.Reached()...) {
			if given, asked := x.AllowsBy(purpose, kind); asked {
				fmt.Fprintf(a.out, "%s: %s\n", strings.TrimSpace(purpose+" "+kind),
					map[bool]string{true: "allowed", false: "refused"}[given])
			}
		}
	}
	if x.CallFirst {
		fmt.Fprintln(a.out, "wants to be called first")
	}
	for i, w := range x.Wants {
		ended := ""
		if w.Ended(a.now()) {
			ended = " (no more)"
		}
		fmt.Fprintf(a.out, "wants %d: %s%s\n", i+1, wantWords(w), ended)
	}
}

// wantWords is a want in a line.
func wantWords(w shop.Want) string {
	var out []string
	add := func(s string) {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	add(strings.Join(strings.Fields(w.Maker+" "+w.Family+" "+w.Reference+" "+w.Metal), " "))
	if w.Dial != "" {
		add("dial " + w.Dial)
	}
	if w.ConditionFloor > 0 {
		add(fmt.Sprintf("condition %.3g or better", w.ConditionFloor))
	}
	if w.OriginalityFloor > 0 {
		add(fmt.Sprintf("originality %.2f or more", w.OriginalityFloor))
	}
	add(w.Set)
	if w.YearFrom != 0 || w.YearTo != 0 {
		add(fmt.Sprintf("years %d to %d", w.YearFrom, w.YearTo))
	}
	if !w.Budget.IsZero() {
		add("up to " + w.Budget.String())
	}
	if w.CallFirst {
		add("call first")
	}
	add(w.Note)
	return strings.Join(out, ", ")
}

type clientsAddCmd struct {
	Name    string `arg:"" help:"The name."`
	Kind    string `help:"person, firm, dealer or workshop." enum:"person,firm,dealer,workshop" default:"person"`
	Email   string `help:"E-mail address."`
	Phone   string `help:"Telephone number."`
	Country string `help:"Country, by two letters." placeholder:"CH"`
	Note    string `help:"A note."`
	Paper   string `help:"Paper by which the identity was proved, such as passport." placeholder:"PAPER"`
	Number  string `help:"Number of that paper." placeholder:"NUMBER"`
	By      string `help:"Who saw the paper; default the user." env:"MIDCASE_USER"`
	JSON    bool   `name:"json" help:"Print JSON."`
}

// Run adds a client.
func (c clientsAddCmd) Run(a *app) error {
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	x := shop.Client{Name: c.Name, Kind: c.Kind, Email: c.Email, Phone: c.Phone, Country: strings.ToUpper(c.Country),
		Note: c.Note}
	if c.Paper != "" {
		x.Identity = &shop.Identity{Paper: c.Paper, Number: c.Number, By: user(c.By)}
		if x.Identity.Seen, err = dayFlag("seen", a.now().Format("2006-01-02")); err != nil {
			return err
		}
	}
	if x, err = s.People.Add(a.ctx, x); err != nil {
		return refused(err)
	}
	if c.JSON {
		return a.printJSON(x)
	}
	_, err = fmt.Fprintln(a.out, x.ID)
	return err
}

type clientsWantCmd struct {
	Client      string  `arg:"" help:"Id, name or e-mail address."`
	Maker       string  `help:"Maker."`
	Reference   string  `help:"Reference number."`
	Family      string  `help:"Family."`
	Metal       string  `help:"Metal, as the book names it."`
	Dial        string  `help:"Words that the dial's name must hold."`
	Condition   float64 `help:"Grade, 1 to 10, or better."`
	Originality float64 `help:"Share of original parts, 0 to 1, or more."`
	Set         string  `help:"papers or full: at least that." enum:",watch,papers,full" default:""`
	From        int     `help:"Made in this year or later." placeholder:"YEAR"`
	To          int     `help:"Made in this year or earlier." placeholder:"YEAR"`
	Budget      string  `help:"Such as 5000EUR." placeholder:"AMOUNT"`
	CallFirst   bool    `help:"Wants to hear of it before others."`
	Until       string  `help:"The last day on which it is wanted." placeholder:"2026-03-01"`
	Note        string  `help:"A note."`
	JSON        bool    `name:"json" help:"Print JSON."`
}

// Run adds a want.
func (c clientsWantCmd) Run(a *app) error {
	budget, err := optionalMoney(c.Budget)
	if err != nil {
		return err
	}
	until, err := dayFlag("until", c.Until)
	if err != nil {
		return err
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	id, err := clientID(a, s, c.Client)
	if err != nil {
		return err
	}
	_, found, err := s.People.AddWant(a.ctx, id, shop.Want{Maker: c.Maker, Reference: c.Reference, Family: c.Family,
		Metal: c.Metal, Dial: c.Dial, ConditionFloor: c.Condition, OriginalityFloor: c.Originality,
		Set: c.Set, YearFrom: c.From, YearTo: c.To, Budget: budget, CallFirst: c.CallFirst, Until: until, Note: c.Note})
	if err != nil {
		return refused(err)
	}
	return a.matches(found, c.JSON)
}

type clientsMatchCmd struct {
	Watch  string `arg:"" optional:"" help:"Id, file number or serial number of a watch."`
	Client string `help:"Show what in stock this client wants instead." placeholder:"CLIENT"`
	JSON   bool   `name:"json" help:"Print JSON."`
}

// Run matches.
func (c clientsMatchCmd) Run(a *app) error {
	if (c.Watch == "") == (c.Client == "") {
		return wrong("match: want a watch, or --client")
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if c.Client != "" {
		id, err := clientID(a, s, c.Client)
		if err != nil {
			return err
		}
		found, err := s.People.MatchWant(a.ctx, id)
		if err != nil {
			return err
		}
		return a.matches(found, c.JSON)
	}
	w, err := s.Find(a.ctx, c.Watch)
	if err != nil {
		return err
	}
	found, err := s.People.MatchWatch(a.ctx, w.ID)
	if err != nil {
		return err
	}
	return a.matches(found, c.JSON)
}

// matches prints matches, the likeliest buyers first.
func (a *app) matches(found []people.Match, asJSON bool) error {
	if asJSON {
		return a.printJSON(orEmpty(found))
	}
	rows := [][]string{{"CLIENT", "WATCH", "FIT", "SCORE", "", "WHY"}}
	for _, m := range found {
		flag := ""
		switch {
		case !m.MayContact:
			flag = "do not contact"
		case m.CallFirst:
			flag = "call first"
		}
		rows = append(rows, []string{nameOrID(m.Name, m.Client), m.Title, figure(m.Fit, 2), figure(m.Chance, 2), flag,
			strings.Join(m.Reasons, "; ")})
	}
	return a.table(rows)
}

type clientsImportCmd struct {
	File  string            `arg:"" help:"CSV file or vCards (.vcf), or - for CSV on standard input."`
	Map   map[string]string `help:"The column of a field, such as name=Nom; again for each." placeholder:"FIELD=COLUMN"`
	Merge bool              `help:"Give duplicates what their record lacks."`
	JSON  bool              `name:"json" help:"Print JSON."`
}

// Run imports clients.
func (c clientsImportCmd) Run(a *app) error {
	in, name, err := a.input(c.File)
	if err != nil {
		return err
	}
	defer in.Close()
	var clients []shop.Client
	var bad []people.ImportProblem
	if strings.HasSuffix(strings.ToLower(c.File), ".vcf") {
		clients, bad, err = people.ReadVCards(in)
	} else {
		clients, bad, err = people.ReadCSV(in, c.Map)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	r, err := s.People.Import(a.ctx, clients, c.Merge)
	if err != nil {
		return err
	}
	r.Read += len(bad)
	r.Rejected = append(bad, r.Rejected...)
	if c.JSON {
		return a.printJSON(r)
	}
	for _, x := range r.Rejected {
		fmt.Fprintf(a.err, "%s:%d: %s\n", name, x.Line, x.Why)
	}
	for _, x := range r.Duplicates {
		fmt.Fprintf(a.err, "%s: %s as client %s\n", x.Name, x.Why, x.Of)
	}
	_, err = fmt.Fprintf(a.out, "%d read: %d new, %s, %d merged, %d kept out\n", r.Read, r.Added,
		count(len(r.Duplicates), "duplicate"), r.Merged, len(r.Rejected))
	return err
}

type clientsExportCmd struct {
	Client string `arg:"" optional:"" help:"Everything kept about this client, as JSON; default all clients as vCards."`
	Output string `short:"o" help:"File to write; default standard output." placeholder:"FILE"`
}

// Run exports clients.
func (c clientsExportCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	if c.Client == "" {
		all, err := s.People.All(a.ctx)
		if err != nil {
			return err
		}
		return a.writeTo(c.Output, func(w io.Writer) error { return people.WriteVCards(w, all) })
	}
	id, err := clientID(a, s, c.Client)
	if err != nil {
		return err
	}
	file, err := s.People.Export(a.ctx, id)
	if err != nil {
		return err
	}
	return a.writeTo(c.Output, func(w io.Writer) error { b := *a; b.out = w; return b.printJSON(file) })
}

type clientsEraseCmd struct {
	Client   string `arg:"" help:"Id, name or e-mail address."`
	Yes      bool   `help:"Do it: it cannot be taken back."`
	Override string `help:"Why it goes ahead though the record must still be kept. It is logged." placeholder:"REASON"`
	JSON     bool   `name:"json" help:"Print JSON."`
}

// Run erases a client.
func (c clientsEraseCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	x, err := s.People.Find(a.ctx, c.Client)
	if err != nil {
		return err
	}
	if !c.Yes {
		return wrong("erase %s (%s): it cannot be taken back; say --yes to do it", x.ID, x.Name)
	}
	r, err := s.People.Erase(a.ctx, x.ID, c.Override)
	if err != nil {
		return refused(err)
	}
	if c.JSON {
		return a.printJSON(r)
	}
	fmt.Fprintf(a.out, "%s erased; %s of the ledger and %s of watches stay without the name\n", r.Client,
		entriesWords(r.Entries), count(r.Steps, "step"))
	for _, m := range r.Mentions {
		fmt.Fprintf(a.out, "still named in: %s, %s: %s\n", strings.Join(strings.Fields(fmt.Sprint(m.Where, " ", m.Watch, " ", m.ID)), " "),
			m.Field, m.Excerpt)
	}
	for _, line := range r.Cautions {
		fmt.Fprintln(a.err, line)
	}
	return nil
}

func entriesWords(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}

type clientsLogCmd struct {
	Client string `arg:"" optional:"" help:"Id, name or e-mail address; default all."`
	JSON   bool   `name:"json" help:"Print JSON."`
}

// Run prints the log of accesses.
func (c clientsLogCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	id, err := clientID(a, s, c.Client)
	if err != nil {
		return err
	}
	all, err := s.People.Accesses(a.ctx, id)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(orEmpty(all))
	}
	rows := [][]string{{"AT", "BY", "CLIENT", "WHAT"}}
	for _, x := range all {
		rows = append(rows, []string{x.At.Format("2006-01-02 15:04:05"), x.By, x.Client, x.What})
	}
	return a.table(rows)
}
