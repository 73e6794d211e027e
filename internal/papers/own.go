package papers

import (
	"context"
	"errors"
	"strings"

	"midcase/evidence"
	"midcase/hand"
	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/rooms"
	"midcase/say"
	"midcase/telling"
)

// Edition is what is told of a watch in one form, language and length: what the program
// tells, or what the dealer made of it.
type Edition struct {
	Told    telling.Told // what holds
	Machine telling.Told // what the program tells now
	Kept    shop.OwnText // the last version of the dealer's own; its N is 0 where there is none
	Own     bool         // whether it holds
	Merged  hand.Merged  // Kept with what changed since
}

// TextOf names the text of a form, language and length.
func TextOf(form telling.Form, language string, length int) shop.TextOf {
	of := shop.TextOf{Form: string(form), Language: language}
	if form == telling.Post {
		if of.Length = length; length <= 0 {
			of.Length = telling.LongPost
		}
	}
	return of
}

// Editable reports whether a form can be put into words of one's own.
func Editable(form telling.Form) bool { return form != telling.Talk }

// EditionOf is what is told of a watch of the shop. A text of the dealer's own is brought
// up to what the program tells now; one that leaves a disclosure out, or tells what is
// private, comes with an error, as what may not be told at all does.
func EditionOf(ctx context.Context, s *rooms.Shop, w shop.Watch, subject telling.Subject, form telling.Form,
	language string, length int) (Edition, error) {
	var e Edition
	var err error
	if e.Machine, err = Tell(subject, form, language, length); err != nil {
		return e, err
	}
	e.Told = e.Machine
	if !Editable(form) {
		return e, nil
	}
	e.Kept, e.Own, err = s.OwnText(ctx, w.ID, TextOf(form, language, length))
	if err != nil || !e.Own {
		return e, err
	}
	e.Merged = hand.Merge(e.Kept.Base, e.Machine.Text, e.Kept.Text, nil)
	if e.Told, err = hand.Apply(subject, e.Machine, e.Merged.Text); err != nil {
		return e, err
	}
	secrets, err := Secrets(ctx, s, w, subject)
	if err != nil {
		return e, err
	}
	for _, m := range hand.Check(subject, e.Machine, e.Merged.Text, secrets...).Marks {
		if m.Kind == hand.Private {
			return e, &telling.Refused{Why: say.That("hand.refuse-private", say.Name("said", m.Text),
				say.Saying("why", m.Why))}
		}
	}
	return e, nil
}

// Secrets are what is never told of a watch, as far as whoever asks may know it: names of
// clients, what the watch cost, and the prices that were asked of the shop.
func Secrets(ctx context.Context, s *rooms.Shop, w shop.Watch, subject telling.Subject) ([]hand.Secret, error) {
	var out []hand.Secret
	paid := say.That("hand.private-paid")
	for _, c := range evidence.All[*evidence.Claim](subject.File) {
		if !c.Data.Price.IsZero() && c.Data.Price.Amount() != w.Asking.Amount() {
			out = append(out, amounts(c.Data.Price.Amount(), paid)...)
		}
	}
	if rights.May(ctx, rights.Cost) && !w.Cost.IsZero() && w.Cost.Amount() != w.Asking.Amount() {
		out = append(out, amounts(w.Cost.Amount(), paid)...)
	}
	if !rights.May(ctx, rights.Clients) {
		return out, nil
	}
	all, err := s.Stores().Clients.Clients(ctx)
	if err != nil {
		return nil, err
	}
	for _, c := range all {
		if c.Name != "" && c.Name != subject.Offer.Shop {
			out = append(out, hand.Secret{Text: c.Name, Why: say.That("hand.private-name")})
		}
	}
	return out, nil
}

// amounts are the ways in which people write an amount in whole units.
func amounts(amount string, why say.Statement) []hand.Secret {
	whole, cents, _ := strings.Cut(amount, ".")
	if cents != "" && cents != "00" || len(whole) < 3 {
		return nil
	}
	out := []hand.Secret{{Text: whole, Why: why}}
	if n := len(whole); n > 3 {
		for _, mark := range []string{",", ".", "'", "’", " "} {
			out = append(out, hand.Secret{Text: whole[:n-3] + mark + whole[n-3:], Why: why})
		}
	}
	return out
}

// NotTold reports whether an error says that a watch may not be told of, or not so.
func NotTold(err error) bool {
	var refused *telling.Refused
	var left *telling.LeftOutError
	return errors.As(err, &refused) || errors.As(err, &left)
}
