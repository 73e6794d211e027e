package cli

import (
	"time"

	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/say"
)

type clientsLinkCmd struct {
	Add  clientsLinkAddCmd  `cmd:"" help:"Make a private link: an address at which one client sees the listing of a watch without signing in."`
	List clientsLinkListCmd `cmd:"" help:"List private links, and when they were opened."`
	End  clientsLinkEndCmd  `cmd:"" help:"Take a private link back: the address opens nothing any more."`
}

type clientsLinkAddCmd struct {
	onWatch
	doer
	output
	Client   string `arg:"" help:"Id, name or e-mail address of the client."`
	Days     int    `help:"Days for which it opens, 1 to 90." default:"14" placeholder:"N"`
	Language string `help:"Language: en, de, fr or it (default: the client's own)." placeholder:"LANGUAGE"`
	Address  string `help:"Where others find the served shop, such as https://shop.example (default: the address at which papers are checked)." placeholder:"URL"`
}

// Run makes a link and prints its address, which is shown this once.
func (c clientsLinkAddCmd) Run(a *app, s *opened, w shop.Watch) error {
	people, err := s.Staff.People(a.ctx)
	if err != nil {
		return err
	}
	if len(people) == 0 {
		return wrong("nobody signs in to this shop, so that a private link would open nothing: its pages open with " +
			"their key alone. Add people first: midcase people add NAME")
	}
	if _, ok := say.In(c.Language); c.Language != "" && !ok {
		return wrong("--language: there is no “%s”. Use en, de, fr or it", c.Language)
	}
	l, err := s.Letterhead(a.ctx)
	if err != nil {
		return err
	}
	base := c.Address
	if base == "" {
		base = l.CheckedAt
	}
	if base == "" {
		return wrong("it is not known where others find the shop. Give --address https://shop.example, or set it for " +
			"all papers: midcase documents letterhead --checked-at https://shop.example")
	}
	x, err := s.People.Find(a.ctx, c.Client)
	if err != nil {
		return err
	}
	if c.Language == "" {
		c.Language = say.LanguageOf(x.Language)
	}
	link, secret, err := papers.MakeLink(a.ctx, s.Shop, shop.Link{Watch: w.ID, Client: x.ID, Language: c.Language,
		By: c.who()}, c.Days)
	if papers.NotTold(err) {
		return wrong("no. %d %s: %v", w.Number, w.Title, err)
	}
	at := papers.LinkAddress(base, secret)
	return c.line(a, struct {
		shop.Link
		Address string `json:"address"`
	}{link, at}, err, "%s\nno. %d %s for client %s, until %s; the address is shown this once", at, w.Number, w.Title,
		x.ID, link.Until)
}

type clientsLinkListCmd struct {
	table
	Watch string `help:"Only of this watch: id, file number or serial number." placeholder:"WATCH"`
}

// Run lists links.
func (c clientsLinkListCmd) Run(a *app, s *opened) error {
	var id shop.WatchID
	if c.Watch != "" {
		w, err := s.Find(a.ctx, c.Watch)
		if err != nil {
			return err
		}
		id = w.ID
	}
	all, err := s.People.Links(a.ctx, id, "")
	if all == nil {
		all = []shop.Link{}
	}
	const heads = "LINK|WATCH|CLIENT|UNTIL|OPENED|LAST"
	return list(a, c.table, all, err, "No private links.", heads, func(l shop.Link) cells {
		until, last := l.Until, ""
		if !l.Ended.IsZero() {
			until = "taken back " + l.Ended.Format(time.DateOnly)
		}
		if n := len(l.Seen); n > 0 {
			last = l.Seen[n-1].Format(time.DateOnly)
		}
		return cells{l.ID, string(l.Watch), l.Client, until, l.Views, last}
	})
}

type clientsLinkEndCmd struct {
	output
	Link string `arg:"" help:"Id of the link, as 'clients link list' prints it."`
}

// Run takes a link back.
func (c clientsLinkEndCmd) Run(a *app, s *opened) error {
	l, err := s.People.EndLink(a.ctx, c.Link)
	return c.line(a, l, err, "%s: taken back", l.ID)
}
