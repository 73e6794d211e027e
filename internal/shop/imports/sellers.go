package imports

import (
	"context"
	"strings"
	"unicode"

	"midcase/internal/shop"
	"midcase/tables"
)

// sellers makes clients of the people that a stock list names as sellers, each once.
type sellers struct {
	*planned
	known map[string]string // client ids by name
}

func (p *planned) sellers() *sellers { return &sellers{planned: p} }

// of names the seller or the consignor of a watch, as a client on record or a new one.
// Without an address nobody is written to, and no consent is made up.
func (s *sellers) of(ctx context.Context, w *shop.Watch, row tables.Row) error {
	f := row.Plain()
	if !named(f["seller"]) || w.State == shop.Offered {
		return nil
	}
	if s.known == nil {
		all, err := s.people.All(ctx)
		if err != nil {
			return err
		}
		s.known = map[string]string{}
		for _, c := range all {
			if c.Erased.IsZero() {
				s.known[nameKey(c.Name)] = c.ID
			}
		}
	}
	key := nameKey(f["seller"])
	if id, ok := s.known[key]; ok {
		w.Client = id
		return nil
	}
	now := s.shop.Now()
	c := shop.Client{ID: s.shop.NewID("c"), Name: f["seller"], Note: "Seller, " + s.where(row.Line), Created: now,
		Changed: now}
	s.step.Import.Clients = append(s.step.Import.Clients, c)
	s.batch.Clients = append(s.batch.Clients, c.ID)
	s.known[key], w.Client = c.ID, c.ID
	return nil
}

// named reports whether a cell names a person or a firm: it begins with a capital and
// says more than where a watch was found ("fair", "auction", "estate").
func named(seller string) bool {
	first := []rune(seller + " ")[0]
	words := strings.Fields(seller)
	if !unicode.IsUpper(first) || strings.ContainsFunc(seller, unicode.IsDigit) {
		return false
	}
	for _, w := range words {
		if places[strings.ToLower(strings.Trim(w, ".,()"))] {
			return false
		}
	}
	return len(words) >= 2
}

// places are words for where a watch was bought rather than from whom.
var places = map[string]bool{"auction": true, "fair": true, "estate": true, "market": true, "show": true,
	"private": true, "trade": true, "walk-in": true, "online": true, "unknown": true, "auktion": true,
	"messe": true, "börse": true, "nachlass": true, "privat": true,
	"unbekannt": true, "enchères": true, "salon": true, "succession": true,
	"brocante": true, "particulier": true, "asta": true, "fiera": true, "mercato": true, "privato": true}

// nameKey is a name for comparing.
func nameKey(name string) string { return strings.Join(strings.Fields(strings.ToLower(name)), " ") }

// noted is the note of a watch: what its row says and no other field keeps.
func noted(f map[string]string) string {
	var out []string
	say := func(before, text string) {
		if text != "" {
			out = append(out, before+text+".")
		}
	}
	say("Bought from ", f["seller"])
	say("Sold to ", f["buyer"])
	say("Movement no. ", f["movement"])
	if f["sold_words"] != "" {
		say("", f["sold_words"])
	} else if f["sold"] != "" || f["sold_for"] != "" {
		say("Sold ", strings.TrimSpace(f["sold"]+" "+strings.TrimSpace(f["sold_for"]+" "+f["sold_for.currency"])))
	}
	return strings.TrimSpace(strings.Join(out, " ") + " " + f["note"])
}
