package cli

import (
	"fmt"
	"os"
	"path/filepath"

	"midcase/internal/shop"
)

type clientsEndCmd struct {
	Client string `arg:"" help:"Id, name or e-mail address."`
	Want   int    `arg:"" help:"Its number, as 'clients show' tells it."`
	JSON   bool   `name:"json" help:"Print JSON."`
}

// Run ends a want.
func (c clientsEndCmd) Run(a *app) error {
	return a.changeClient(c.Client, c.JSON, func(s *opened, x shop.Client) (shop.Client, error) {
		return s.People.EndWant(a.ctx, x.ID, x.Version, c.Want-1)
	})
}

// changeClient finds a client, changes it and prints what stands then.
func (a *app) changeClient(key string, asJSON bool, change func(s *opened, x shop.Client) (shop.Client, error)) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	x, err := s.People.Find(a.ctx, key)
	if err != nil {
		return err
	}
	if x, err = change(s, x); err != nil {
		return refused(err)
	}
	if asJSON {
		return a.printJSON(x)
	}
	a.client(x)
	return nil
}

type clientsConsentCmd struct {
	Client  string `arg:"" help:"Id, name or e-mail address."`
	Purpose string `arg:"" enum:"offers,news,keep" help:"offers, news, or keep (data longer than the law asks)."`
	Answer  string `arg:"" enum:"allowed,refused" help:"allowed or refused."`
	Channel string `help:"By email, phone, message or post alone; default every way." enum:",email,phone,message,post" default:""`
	How     string `help:"How you know, such as 'in writing'."`
	JSON    bool   `name:"json" help:"Print JSON."`
}

// Run records a consent.
func (c clientsConsentCmd) Run(a *app) error {
	return a.changeClient(c.Client, c.JSON, func(s *opened, x shop.Client) (shop.Client, error) {
		return s.People.RecordConsent(a.ctx, x.ID, shop.Consent{Purpose: c.Purpose, Channel: c.Channel,
			Given: c.Answer == "allowed", How: c.How})
	})
}

type clientsChannelCmd struct {
	Client    string `arg:"" help:"Id, name or e-mail address."`
	Kind      string `arg:"" enum:"email,phone,message,post" help:"email, phone, message or post."`
	Value     string `arg:"" help:"The address or number."`
	Label     string `help:"Such as work, home or assistant."`
	Preferred bool   `help:"The way that the client prefers."`
	End       bool   `help:"Take it off the record instead."`
	JSON      bool   `name:"json" help:"Print JSON."`
}

// Run adds or ends a channel.
func (c clientsChannelCmd) Run(a *app) error {
	return a.changeClient(c.Client, c.JSON, func(s *opened, x shop.Client) (shop.Client, error) {
		if c.End {
			return s.People.EndChannel(a.ctx, x.ID, c.Value)
		}
		return s.People.AddChannel(a.ctx, x.ID, shop.Channel{Kind: c.Kind, Value: c.Value, Label: c.Label,
			Preferred: c.Preferred})
	})
}

type clientsOfferCmd struct {
	Watch   string `arg:"" help:"Id, file number or serial number of a watch."`
	Client  string `arg:"" help:"Id, name or e-mail address."`
	As      string `help:"shown, offered, promised (the first refusal), accepted, declined or withdrawn." enum:"shown,offered,promised,accepted,declined,withdrawn" default:"offered"`
	Price   string `help:"At this price, such as 5000EUR." placeholder:"AMOUNT"`
	Until   string `help:"The last day of an offer or a promise." placeholder:"2026-03-01"`
	Channel string `help:"By email, phone, message, post or in the shop." default:""`
	By      string `help:"Who notes it; default the user." env:"MIDCASE_USER"`
	JSON    bool   `name:"json" help:"Print JSON."`
}

// Run records what passed.
func (c clientsOfferCmd) Run(a *app) error {
	price, err := optionalMoney(c.Price)
	if err != nil {
		return err
	}
	until, err := dayFlag("until", c.Until)
	if err != nil {
		return err
	}
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	id, err := clientID(a, s, c.Client)
	if err != nil {
		return err
	}
	v, err := s.People.Show(a.ctx, shop.Showing{Watch: w.ID, Client: id, Kind: c.As, Price: price, Until: until,
		Channel: c.Channel}, user(c.By))
	if err != nil {
		return refused(err)
	}
	if c.JSON {
		return a.printJSON(v)
	}
	_, err = fmt.Fprintf(a.out, "no. %d %s: %s, client %s\n", w.Number, w.Title, v.Kind, v.Client)
	return err
}

type clientsPrivateCmd struct {
	Watch string `arg:"" help:"Id, file number or serial number of a watch."`
	Until string `arg:"" optional:"" help:"The last day on which it is shown privately only, such as 2026-03-01." placeholder:"DAY"`
	All   bool   `help:"Show it to all from now on."`
	By    string `help:"Who does it; default the user." env:"MIDCASE_USER"`
	JSON  bool   `name:"json" help:"Print JSON."`
}

// Run sets or ends the private list of a watch.
func (c clientsPrivateCmd) Run(a *app) error {
	if (c.Until == "") != c.All {
		return wrong("private: want a last day, or --all")
	}
	until, err := dayFlag("until", c.Until)
	if err != nil {
		return err
	}
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	var v shop.Showing
	if c.All {
		v, err = s.People.GoPublic(a.ctx, w.ID, user(c.By))
	} else {
		v, err = s.People.PrivateFirst(a.ctx, w.ID, until, user(c.By))
	}
	if err != nil {
		return refused(err)
	}
	if c.JSON {
		return a.printJSON(v)
	}
	if c.All {
		_, err = fmt.Fprintf(a.out, "no. %d %s: to all\n", w.Number, w.Title)
	} else {
		_, err = fmt.Fprintf(a.out, "no. %d %s: privately until %s\n", w.Number, w.Title, v.Until)
	}
	return err
}

type clientsKeyCmd struct {
	Rotate  clientsKeyRotateCmd  `cmd:"" help:"Put a new key in the place of the old one."`
	Sheet   clientsKeySheetCmd   `cmd:"" help:"Print a recovery sheet: the key in lines with check digits, to keep on paper."`
	Recover clientsKeyRecoverCmd `cmd:"" help:"Type the key in from its recovery sheet, after the file was lost."`
}

type clientsKeyRotateCmd struct {
	KeepOld string `help:"File to write the old key to: back-ups made before open with it alone." placeholder:"FILE"`
	DropOld bool   `help:"Keep the old key nowhere: the client data of back-ups made before cannot be read any more."`
	JSON    bool   `name:"json" help:"Print JSON."`
}

// Run rotates the key.
func (c clientsKeyRotateCmd) Run(a *app) error {
	if (c.KeepOld == "") != c.DropOld {
		return wrong("key rotate: back-ups made before open with the old key alone: say --keep-old FILE to keep it, or --drop-old")
	}
	if os.Getenv(clientKeyVariable) != "" {
		return wrong("key rotate: the key comes from %s, which this program cannot change: write it to %s in the shop's folder, unset the variable, and rotate that", clientKeyVariable, clientKeyFile)
	}
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
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
	if c.JSON {
		return a.printJSON(map[string]any{"clients": n, "old_key": c.KeepOld})
	}
	fmt.Fprintf(a.out, "the data of %s: encrypted under a new key\n", count(n, "client"))
	fmt.Fprintln(a.err, "A server that runs still holds the old key: start it anew. Copy the new key file to where you keep such things; without it nobody can read the client data.")
	return nil
}
