package cli

import (
	"errors"
	"fmt"
	"strings"

	"midcase/hand"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/telling"
)

// errNotFit is that a text may not be published as it is.
var errNotFit = errors.New("this text is not fit to be published: it leaves out what has to be disclosed, or tells " +
	"what is private")

// tell is what is told of a watch: as it was edited in the shop, else as the program tells it.
func (c listingCmd) tell(a *app, s *subject, of telling.Subject) (telling.Told, error) {
	if s.shop == nil || c.Machine {
		return papers.Tell(of, c.For, c.Language, c.Characters)
	}
	e, err := papers.EditionOf(a.ctx, s.shop.Shop, s.watch, of, c.For, c.Language, c.Characters)
	return e.Told, err
}

// edited checks or keeps an edited text.
func (c listingCmd) edited(a *app, s *subject, of telling.Subject) error {
	if !papers.Editable(c.For) {
		return wrong("--for: a talk sheet is not edited. Use page, catalogue, message or post")
	}
	told, err := papers.Tell(of, c.For, c.Language, c.Characters)
	if err != nil {
		return err
	}
	if c.Keep != "" {
		return c.keep(a, s, told)
	}
	text, err := a.readText(c.Check)
	if err != nil {
		return err
	}
	var secrets []hand.Secret
	if s.shop != nil {
		if secrets, err = papers.Secrets(a.ctx, s.shop.Shop, s.watch, of); err != nil {
			return err
		}
	}
	report := hand.Check(of, told, hand.Plain(text), secrets...)
	if c.JSON {
		err = a.printJSON(report)
	} else {
		err = a.printReport(report)
	}
	if err == nil && !report.Fit() {
		err = errNotFit
	}
	return err
}

// keep keeps an edited text.
func (c listingCmd) keep(a *app, s *subject, told telling.Told) error {
	if s.shop == nil {
		return wrong("--keep: an edited text is kept in a shop. Name a watch of the shop, not a file")
	}
	if err := rights.Check(a.ctx, rights.Record); err != nil {
		return err
	}
	text, err := a.readText(c.Keep)
	if err != nil {
		return err
	}
	of := papers.TextOf(c.For, c.Language, c.Characters)
	last, _, err := s.shop.OwnText(a.ctx, s.watch.ID, of)
	if err != nil {
		return err
	}
	t := shop.OwnText{Watch: s.watch.ID, Of: of, By: user(""), Base: told.Text, Text: hand.Plain(text)}
	kept, err := s.shop.KeepText(a.ctx, t, last.N)
	return c.line(a, kept, err, "Kept as version %d.", kept.N)
}

// printReport prints the marks of a text and the disclosures that it leaves out.
func (a *app) printReport(r hand.Report) error {
	for _, m := range r.Marks {
		var ids []string
		for _, id := range m.Evidence {
			ids = append(ids, string(id))
		}
		on := ""
		if len(ids) > 0 {
			on = " [" + strings.Join(ids, ", ") + "]"
		}
		if _, err := fmt.Fprintf(a.out, "%d–%d %s: %s%s\n", m.From, m.To, m.Kind, m.Why, on); err != nil {
			return err
		}
	}
	said := map[string]bool{} // one sentence can disclose several findings
	for _, d := range r.LeftOut {
		if said[d.Sentence] {
			continue
		}
		said[d.Sentence] = true
		if _, err := fmt.Fprintf(a.out, "left out: %s\n", d.Sentence); err != nil {
			return err
		}
	}
	if len(r.Marks)+len(r.LeftOut) > 0 {
		return nil
	}
	_, err := fmt.Fprintln(a.out, "Nothing is marked, and every disclosure is in the text.")
	return err
}
