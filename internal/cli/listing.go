package cli

import (
	"fmt"
	"slices"
	"strings"

	"midcase/internal/papers"
	"midcase/money"
	"midcase/say"
	"midcase/telling"
)

type listingCmd struct {
	subjectFlags
	output
	For        telling.Form `help:"What it is for: page, catalogue, message, post or talk (a sheet for a film, a call or a visit)." default:"page" placeholder:"FORM"`
	Language   string       `help:"Language of the text: en, de, fr or it." default:"en" placeholder:"LANGUAGE"`
	Characters int          `help:"Most characters of a post, such as 280 (default: 2000)." placeholder:"N"`
	Price      money.Money  `help:"Price asked of buyers, for a watch file, such as 9850EUR." placeholder:"PRICE"`
	Address    string       `help:"Where the whole listing stands; a short post points there." placeholder:"ADDRESS"`
	Check      string       `help:"Check an edited text against the evidence (- for standard input): what nothing supports, what is contradicted, what is left out." placeholder:"FILE.txt"`
	Keep       string       `help:"Keep an edited text in place of what the program tells, for a watch of the shop (- for standard input; an empty one goes back)." placeholder:"FILE.txt"`
	Machine    bool         `help:"Print what the program tells, though an edited text is kept."`
}

// Run prints what a buyer is told of the watch.
func (c listingCmd) Run(a *app) error {
	if !slices.Contains(telling.Forms(), c.For) {
		return wrong("--for: “%s” is no form of a listing. Use page, catalogue, message, post or talk", c.For)
	}
	if _, ok := say.In(c.Language); !ok {
		return wrong("--language: there is no “%s”. Use %s", c.Language, strings.Join(say.Languages(), ", "))
	}
	if c.Characters < 0 || c.Characters > 0 && c.For != telling.Post {
		return wrong("--characters: it is the length of a post. Use it with --for post and a number above zero")
	}
	if err := aboveZero("--price", c.Price); err != nil {
		return err
	}
	s, err := c.subject(a)
	if err != nil {
		return err
	}
	subject, err := c.told(a, s)
	if err != nil {
		return err
	}
	if c.Check != "" || c.Keep != "" {
		return c.edited(a, s, subject)
	}
	told, err := c.tell(a, s, subject)
	return c.print(a, told, err, func() error {
		_, err := fmt.Fprintf(a.out, "%s\n\n%s\n", told.Title, told.Text)
		return err
	})
}

// told gathers what is told: of a watch of the shop, or of one in a file.
func (c listingCmd) told(a *app, s *subject) (telling.Subject, error) {
	if s.shop == nil {
		book, err := c.book(a)
		return telling.Subject{Opinion: s.opinion, File: s.file, Book: book,
			Offer: telling.Offer{Price: c.Price, Address: c.Address}}, err
	}
	if !c.Price.IsZero() {
		return telling.Subject{}, wrong("--price is for a watch in a file. Of watch %d of the shop the price asked is "+
			"on record; change it there", s.watch.Number)
	}
	out, err := papers.SubjectOn(a.ctx, s.shop.Shop, s.watch, s.opinion, s.file)
	out.Offer.Address = c.Address
	return out, err
}
