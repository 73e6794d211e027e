package imports

import (
	"context"
	"strings"

	"midcase/internal/shop"
)

// clients plans the clients of a list. Who looks like one on record is counted as repeated and stays as it is.
func (p *planned) clients(ctx context.Context) error {
	now := p.shop.Now()
	var all []shop.Client
	for _, row := range p.rows {
		f := row.Plain()
		c := shop.Client{Name: f["name"], Email: f["email"], Phone: f["phone"], Note: f["note"], Created: now,
			Changed: now}
		if c.Name == "" {
			c.Name = c.Email + c.Phone
		}
		c.Address.Street = f["address"]
		if i := f["interests"]; i != "" {
			c.Note = strings.TrimSpace(c.Note + "\nInterests: " + i)
		}
		if yes := f["consent"]; yes != "" {
			c.Consents = []shop.Consent{{Purpose: "offers", Given: yes == "yes", At: now, How: p.where(row.Line)}}
		}
		all = append(all, c)
	}
	lines, err := p.people.PreviewImport(ctx, all)
	if err != nil {
		return err
	}
	for i, l := range lines {
		p.settled[p.rows[i].Line] = true
		if l.Of != nil {
			p.batch.Repeated++
			p.says(p.rows[i].Line, "%s looks like %s: %s.", l.Client.Name, l.Of.Name, l.Why)
			continue
		}
		c := all[i]
		c.ID = p.shop.NewID("c")
		p.step.Import.Clients = append(p.step.Import.Clients, c)
		p.batch.Clients = append(p.batch.Clients, c.ID)
	}
	return nil
}
