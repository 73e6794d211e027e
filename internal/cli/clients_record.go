package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/money"
)

type clientsEndCmd struct {
	onClient
	output
	Want int `arg:"" help:"Number of the want, as 'clients show' prints it."`
}

// Run ends a want.
func (c clientsEndCmd) Run(a *app, s *opened, x shop.Client) error {
	x, err := s.People.EndWant(a.ctx, x.ID, x.Version, c.Want-1)
	return a.client(x, err, c.output)
}

type clientsConsentCmd struct {
	onClient
	output
	Purpose string `arg:"" enum:"offers,news,keep" help:"offers, news, or keep (keep data longer than the law asks)."`
	Answer  string `arg:"" enum:"allowed,refused" help:"allowed or refused."`
	Channel string `help:"Only for email, phone, message or post (default: every channel)." enum:",email,phone,message,post" default:""`
	How     string `help:"How you know, such as 'in writing'."`
}

// Run records a consent.
func (c clientsConsentCmd) Run(a *app, s *opened, x shop.Client) error {
	x, err := s.People.RecordConsent(a.ctx, x.ID, shop.Consent{Purpose: c.Purpose, Channel: c.Channel,
		Given: c.Answer == "allowed", How: c.How})
	return a.client(x, err, c.output)
}

type clientsAddressCmd struct {
	onClient
	output
	Street    string `help:"Street and number."`
	PostCode  string `help:"Post code."`
	City      string `help:"City."`
	Region    string `help:"Region."`
	Country   string `help:"Country, by two letters." placeholder:"CH"`
	TaxNumber string `help:"Tax number of a business, such as DE123456789." placeholder:"NUMBER"`
}

// Run sets what was given and leaves the rest.
func (c clientsAddressCmd) Run(a *app, s *opened, x shop.Client) error {
	if c.Country != "" && len(c.Country) != 2 {
		return wrong("“%s” is not the code of a country. Give two letters, such as CH", c.Country)
	}
	for to, typed := range map[*string]string{&x.Address.Street: c.Street, &x.Address.PostCode: c.PostCode,
		&x.Address.City: c.City, &x.Address.Region: c.Region, &x.Country: strings.ToUpper(c.Country),
		&x.TaxNumber: shop.TaxNumber(c.TaxNumber)} {
		if typed != "" {
			*to = typed
		}
	}
	x, err := s.People.Change(a.ctx, x)
	return a.client(x, err, c.output)
}

type clientsChannelCmd struct {
	onClient
	output
	Kind      string `arg:"" enum:"email,phone,message,post" help:"email, phone, message or post."`
	Value     string `arg:"" help:"The address or number."`
	Label     string `help:"Such as work, home or assistant."`
	Preferred bool   `help:"The client prefers this channel."`
	End       bool   `help:"Remove it."`
}

// Run adds or ends a channel.
func (c clientsChannelCmd) Run(a *app, s *opened, x shop.Client) error {
	var err error
	if c.End {
		x, err = s.People.EndChannel(a.ctx, x.ID, c.Value)
	} else {
		x, err = s.People.AddChannel(a.ctx, x.ID, shop.Channel{Kind: c.Kind, Value: c.Value, Label: c.Label,
			Preferred: c.Preferred})
	}
	return a.client(x, err, c.output)
}

// offering is what is recorded of a watch shown or offered.
type offering struct {
	doer
	output
	Price   money.Money `help:"Price, such as 5000EUR." placeholder:"AMOUNT"`
	Until   edtf.Date   `help:"Last day of the offer or promise." placeholder:"2026-03-01"`
	Channel string      `help:"How: email, phone, message, post or in the shop." placeholder:"CHANNEL"`
}

func (c offering) show(a *app, s *opened, w shop.Watch, client, kind string) (shop.Showing, error) {
	id, err := clientID(a, s, client)
	if err != nil {
		return shop.Showing{}, err
	}
	return s.People.Show(a.ctx, shop.Showing{Watch: w.ID, Client: id, Kind: kind, Price: c.Price, Until: c.Until,
		Channel: c.Channel}, c.who())
}

type clientsOfferCmd struct {
	onWatch
	offering
	Client string `arg:"" help:"Id, name or e-mail address of the client."`
	As     string `help:"shown, offered, promised (first refusal), accepted, declined or withdrawn." enum:"shown,offered,promised,accepted,declined,withdrawn" default:"offered"`
}

// Run records an offer or an answer.
func (c clientsOfferCmd) Run(a *app, s *opened, w shop.Watch) error {
	v, err := c.show(a, s, w, c.Client, c.As)
	return c.line(a, v, err, "no. %d %s: %s to client %s", w.Number, w.Title, v.Kind, v.Client)
}

type clientsPrivateCmd struct {
	onWatch
	doer
	output
	Until edtf.Date `arg:"" optional:"" help:"Last day on which it is shown privately only, such as 2026-03-01." placeholder:"DAY"`
	All   bool      `help:"Show it to everybody from now on."`
}

// Run sets or ends the private list of a watch.
func (c clientsPrivateCmd) Run(a *app, s *opened, w shop.Watch) error {
	if c.Until.IsZero() != c.All {
		return wrong("give the last private day, such as 2026-03-01, or --all")
	}
	if c.All {
		v, err := s.People.GoPublic(a.ctx, w.ID, c.who())
		return c.line(a, v, err, "no. %d %s: shown to everybody", w.Number, w.Title)
	}
	v, err := s.People.PrivateFirst(a.ctx, w.ID, c.Until, c.who())
	return c.line(a, v, err, "no. %d %s: shown privately until %s", w.Number, w.Title, v.Until)
}

type clientsKeyCmd struct {
	Rotate  clientsKeyRotateCmd  `cmd:"" help:"Replace the key by a new one."`
	Sheet   clientsKeySheetCmd   `cmd:"" help:"Print a recovery sheet: the key in lines with check digits, to keep on paper."`
	Recover clientsKeyRecoverCmd `cmd:"" help:"Type the key in from its recovery sheet, after the file was lost."`
}

type clientsKeyRotateCmd struct {
	output
	KeepOld string `help:"File to write the old key to: earlier backups need it." placeholder:"FILE"`
	DropOld bool   `help:"Do not keep the old key: the client data in earlier backups can no longer be read."`
}

// Run rotates the key.
func (c clientsKeyRotateCmd) Run(a *app, s *opened) error {
	if (c.KeepOld == "") != c.DropOld {
		return wrong("earlier backups can only be read with the old key. Give --keep-old FILE to keep it, or --drop-old")
	}
	if os.Getenv(clientKeyVariable) != "" {
		return wrong("the key comes from %s, which this program cannot change. Write it to %s in the shop's folder, unset the variable, then rotate", clientKeyVariable, clientKeyFile)
	}
	if c.KeepOld != "" {
		old, err := os.ReadFile(filepath.Join(s.dir, clientKeyFile))
		if err != nil {
			return fmt.Errorf("key of the client data: %w", err)
		}
		if err := writeKey(c.KeepOld, old); err != nil {
			return fmt.Errorf("keep the old key: %w", err)
		}
	}
	n, err := rotateKey(a.ctx, s.store, s.dir)
	if err != nil {
		return fmt.Errorf("rotate the key of the client data: %w", err)
	}
	if !c.JSON {
		fmt.Fprintln(a.err, "A running server still has the old key: restart it. Copy the new key file to a safe place; without it nobody can read the client data.")
	}
	return c.line(a, map[string]any{"clients": n, "old_key": c.KeepOld}, nil,
		"%s: data encrypted with a new key", count(n, "client"))
}
