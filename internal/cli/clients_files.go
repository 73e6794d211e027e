package cli

import (
	"fmt"
	"io"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/people"
)

type clientsImportCmd struct {
	output
	File  string            `arg:"" help:"CSV file or vCards (.vcf), or - for CSV on standard input."`
	Map   map[string]string `help:"Which column holds a field, such as name=Nom; may be repeated." placeholder:"FIELD=COLUMN"`
	Merge bool              `help:"Fill the gaps of existing records from their duplicates."`
}

// Run imports clients.
func (c clientsImportCmd) Run(a *app, s making) error {
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
	r, err := s.People.Import(a.ctx, clients, c.Merge)
	r.Read += len(bad)
	r.Rejected = append(bad, r.Rejected...)
	return c.print(a, r, err, func() error {
		for _, x := range r.Rejected {
			fmt.Fprintf(a.err, "%s:%d: %s\n", name, x.Line, x.Why)
		}
		for _, x := range r.Duplicates {
			fmt.Fprintf(a.err, "%s: %s as client %s\n", x.Name, x.Why, x.Of)
		}
		_, err := fmt.Fprintf(a.out, "%d read: %d new, %s, %d merged, %d rejected\n", r.Read, r.Added,
			count(len(r.Duplicates), "duplicate"), r.Merged, len(r.Rejected))
		return err
	})
}

type clientsExportCmd struct {
	file
	Client string `arg:"" optional:"" help:"Export everything kept about this client, as JSON (default: all clients as vCards)."`
}

// Run exports clients.
func (c clientsExportCmd) Run(a *app, s *opened) error {
	if c.Client == "" {
		all, err := s.People.All(a.ctx)
		if err != nil {
			return err
		}
		return c.write(a, func(w io.Writer) error { return people.WriteVCards(w, all) })
	}
	id, err := clientID(a, s, c.Client)
	if err != nil {
		return err
	}
	kept, err := s.People.Export(a.ctx, id)
	if err != nil {
		return err
	}
	return c.write(a, func(w io.Writer) error { return writeJSON(w, kept) })
}

type clientsEraseCmd struct {
	onClient
	output
	Yes      bool   `help:"Erase. This cannot be undone."`
	Override string `help:"Why the data are erased although the law still asks to keep them. It is logged." placeholder:"REASON"`
}

// Run erases a client.
func (c clientsEraseCmd) Run(a *app, s *opened, x shop.Client) error {
	if !c.Yes {
		return wrong("erasing %s cannot be undone. To erase, add --yes", x.Name)
	}
	r, err := s.People.Erase(a.ctx, x.ID, c.Override)
	return c.print(a, r, err, func() error {
		entries := fmt.Sprintf("%d ledger entries", r.Entries)
		if r.Entries == 1 {
			entries = "1 ledger entry"
		}
		fmt.Fprintf(a.out, "%s erased; %s and %s of watches stay, without the name\n", r.Client, entries,
			count(r.Steps, "step"))
		for _, m := range r.Mentions {
			fmt.Fprintln(a.out, "still named in:", mentioned(m))
		}
		for _, line := range r.Cautions {
			fmt.Fprintln(a.err, line)
		}
		return nil
	})
}

type clientsRedactCmd struct {
	onClient
	output
	doer
	Yes bool `help:"Take them away. This cannot be undone."`
}

// redacted is what a redaction comes to.
type redacted struct {
	Taken int              `json:"taken"` // records
	Still []people.Mention `json:"still"` // what names the client and stays
}

// Run takes away what names a client elsewhere; without --yes it lists it.
func (c clientsRedactCmd) Run(a *app, s *opened, x shop.Client) error {
	if !c.Yes {
		named, err := s.People.Mentions(a.ctx, x)
		return c.print(a, redacted{Still: append([]people.Mention{}, named...)}, err, func() error {
			for _, m := range named {
				does := "stays"
				if m.Removable {
					does = "can be taken away"
				}
				fmt.Fprintf(a.out, "%s: %s\n", does, mentioned(m))
			}
			fmt.Fprintln(a.err, "Nothing was changed. To take the words away for good, add --yes")
			return nil
		})
	}
	taken, still, err := s.People.Redact(a.ctx, x.ID, c.who())
	return c.print(a, redacted{taken, append([]people.Mention{}, still...)}, err, func() error {
		fmt.Fprintf(a.out, "%s: words taken away for good; the log keeps their hash\n", count(taken, "record"))
		for _, m := range still {
			fmt.Fprintln(a.out, "still named in:", mentioned(m))
		}
		fmt.Fprintln(a.err, "Backups made earlier still hold the words, and issued papers stay as they were handed out.")
		return nil
	})
}

// mentioned is one line about a place where a client is named.
func mentioned(m people.Mention) string {
	where := strings.Join(strings.Fields(fmt.Sprint(m.Where, " ", m.Watch, " ", m.ID)), " ")
	return fmt.Sprintf("%s, %s: %s", where, m.Field, m.Excerpt)
}
