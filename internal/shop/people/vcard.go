package people

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"midcase/internal/shop"

	"github.com/emersion/go-vcard"
)

// WriteVCards writes clients as vCards of version 4.0 (RFC 6350). Wants, identity
// papers and what a client owns are not in them. Erased clients are left out.
func WriteVCards(w io.Writer, clients []shop.Client) error {
	for _, c := range clients {
		if !c.Erased.IsZero() {
			continue
		}
		var b bytes.Buffer
		if err := vcard.NewEncoder(&b).Encode(cardOf(c)); err != nil {
			return fmt.Errorf("vCard of client %s: %w", c.ID, err)
		}
		if _, err := io.WriteString(w, shop.FoldLines(b.String())); err != nil {
			return err
		}
	}
	return nil
}

func cardOf(c shop.Client) vcard.Card {
	card := vcard.Card{}
	card.SetValue(vcard.FieldVersion, "4.0")
	card.SetValue(vcard.FieldFormattedName, oneLine(c.Name))
	card.SetKind(vcard.KindIndividual)
	if c.Kind != "" && c.Kind != "person" {
		card.SetKind(vcard.KindOrganization)
	}
	add := func(field, value string, pref bool, label string) {
		if value = oneLine(value); value == "" {
			return
		}
		f := &vcard.Field{Value: value, Params: vcard.Params{}}
		if pref {
			f.Params.Set(vcard.ParamPreferred, "1")
		}
		switch label {
		case vcard.TypeWork, vcard.TypeHome:
			f.Params.Set(vcard.ParamType, label)
		}
		card.Add(field, f)
	}
	add(vcard.FieldEmail, c.Email, len(c.Channels) > 0 && !prefers(c, "email"), "")
	add(vcard.FieldTelephone, c.Phone, false, "")
	for _, x := range c.Channels {
		switch x.Kind {
		case "email":
			add(vcard.FieldEmail, x.Value, x.Preferred, x.Label)
		case "phone":
			add(vcard.FieldTelephone, x.Value, x.Preferred, x.Label)
		case "message":
			add(vcard.FieldIMPP, x.Value, x.Preferred, x.Label)
		}
	}
	if a := c.Address; a != (shop.Address{}) || c.Country != "" {
		country := a.Country
		if country == "" {
			country = c.Country
		}
		card.AddAddress(&vcard.Address{StreetAddress: oneLine(a.Street), Locality: oneLine(a.City),
			Region: oneLine(a.Region), PostalCode: oneLine(a.PostCode), Country: oneLine(country)})
	}
	add(vcard.FieldLanguage, c.Language, false, "")
	if c.Note != "" {
		card.SetValue(vcard.FieldNote, strings.ReplaceAll(strings.ReplaceAll(c.Note, "\r\n", "\n"), "\r", "\n"))
	}
	card.SetValue(vcard.FieldUID, "urn:midcase:client:"+c.ID)
	if !c.Changed.IsZero() {
		card.SetRevision(c.Changed.UTC())
	}
	return card
}

func prefers(c shop.Client, kind string) bool {
	for _, x := range c.Channels {
		if x.Kind == kind && x.Preferred {
			return true
		}
	}
	return false
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// mostCards bounds one file of vCards.
const mostCards = 20_000

// IsCards reports whether a file holds vCards rather than a table.
func IsCards(data []byte) bool {
	head := bytes.TrimPrefix(data[:min(len(data), 100)], []byte("\ufeff"))
	return bytes.HasPrefix(bytes.ToUpper(bytes.TrimSpace(head)), []byte("BEGIN:VCARD"))
}

// Card is one vCard of a file: its place from 1, whom it names, and the two halves of a person's name where it says
// them apart.
type Card struct {
	N           int
	Client      shop.Client
	First, Last string
}

// ReadVCards reads vCards of version 2.1 to 4.0. A card without a name is told in rejected
// with its place, from 1; the others are returned. An error means that the file could
// not be read to its end.
func ReadVCards(r io.Reader) (clients []shop.Client, rejected []ImportProblem, err error) {
	cards, rejected, err := ReadCards(r)
	for _, c := range cards {
		clients = append(clients, c.Client)
	}
	return clients, rejected, err
}

// ReadCards is ReadVCards with the place of each card and the halves of its name.
func ReadCards(r io.Reader) (cards []Card, rejected []ImportProblem, err error) {
	plain, err := plainCards(io.LimitReader(r, 64<<20))
	if err != nil {
		return nil, nil, err
	}
	dec := vcard.NewDecoder(plain)
	for n := 1; ; n++ {
		card, err := dec.Decode()
		if errors.Is(err, io.EOF) {
			return cards, rejected, nil
		}
		if err != nil {
			return nil, nil, fmt.Errorf("card %d: %w", n, err)
		}
		if n > mostCards {
			return nil, nil, fmt.Errorf("more than %d cards: %w", mostCards, shop.ErrTooLarge)
		}
		c := Card{N: n, Client: clientOf(card)}
		if c.Client.Name == "" {
			rejected = append(rejected, ImportProblem{Line: n, Why: "no name (FN); give one"})
			continue
		}
		if name := card.Name(); name != nil {
			c.First, c.Last = oneLine(name.GivenName), oneLine(name.FamilyName)
		}
		cards = append(cards, c)
	}
}

func clientOf(card vcard.Card) shop.Client {
	c := shop.Client{Name: oneLine(card.PreferredValue(vcard.FieldFormattedName)), Note: card.Value(vcard.FieldNote),
		Language: oneLine(card.Value(vcard.FieldLanguage))}
	if c.Name == "" {
		if n := card.Name(); n != nil {
			c.Name = oneLine(n.GivenName + " " + n.AdditionalName + " " + n.FamilyName)
		}
	}
	if c.Name == "" {
		c.Name = oneLine(card.Value(vcard.FieldOrganization))
	}
	if card.Kind() == vcard.KindOrganization {
		c.Kind = "firm"
	}
	for kind, field := range map[string]string{"email": vcard.FieldEmail, "phone": vcard.FieldTelephone,
		"message": vcard.FieldIMPP} {
		first := card.Preferred(field)
		for _, f := range card[field] {
			value := oneLine(f.Value)
			if kind == "phone" {
				value = strings.TrimPrefix(value, "tel:")
			}
			switch {
			case value == "":
			case f == first && kind == "email":
				c.Email = value
			case f == first && kind == "phone":
				c.Phone = value
			default:
				c.Channels = append(c.Channels, shop.Channel{Kind: kind, Value: value,
					Label: strings.ToLower(f.Params.Get(vcard.ParamType))})
			}
		}
	}
	if a := card.Address(); a != nil {
		c.Address = shop.Address{Street: oneLine(a.StreetAddress), City: oneLine(a.Locality), Region: oneLine(a.Region),
			PostCode: oneLine(a.PostalCode), Country: oneLine(a.Country)}
		if len(c.Address.Country) == 2 {
			c.Country = c.Address.Country
		}
	}
	sortChannels(c.Channels)
	return c
}
