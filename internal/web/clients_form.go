package web

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/clients"
	"midcase/say"
)

// clientForm is a client's record.
type clientForm struct {
	clientName
	clientAddress
	Channels []clientChannel `rows:"channel_*_#"`
	Offers   byChannel       `prefix:"consent_offers_"`
	News     byChannel       `prefix:"consent_news_"`
	Keep     string          `form:"consent_keep_" label:"Keeping data longer than the law requires" choices:"=not asked|yes=allowed|no=refused"`
	How      string          `form:"how" label:"How you know" hint:"for example in writing, in conversation, on a form"`
	identityPaper
	Version int `form:"version" kind:"hidden"`
}

type clientName struct {
	Name      string `form:"name,needed" label:"Name"`
	Kind      string `form:"kind" label:"Kind" kind:"choice"`
	Email     string `form:"email" label:"E-mail"`
	Phone     string `form:"phone" label:"Telephone"`
	Country   string `form:"country" label:"Country" hint:"two letters, for example CH"`
	TaxNumber string `form:"tax_number" label:"Tax number" hint:"of a business, with the letters of its country, for example DE123456789"`
	Language  string `form:"language" label:"Language" hint:"for example en or de-CH"`
	CallFirst bool   `form:"call_first,broad" label:"Call me first: wants to hear of everything before others"`
	Note      string `form:"note" label:"Note" kind:"area"`
}

type clientAddress struct {
	Street   string `form:"street" label:"Street"`
	PostCode string `form:"post_code" label:"Post code"`
	City     string `form:"city" label:"City"`
	Region   string `form:"region" label:"Region"`
}

// clientChannel is one more way to reach a client.
type clientChannel struct {
	Kind      string `form:"kind" label:"Channel" choices:"=none|email=E-mail|phone=Telephone|message=Message|post=Post"`
	Value     string `form:"value" label:"Address or number"`
	Label     string `form:"label" label:"Label" hint:"for example work, home, assistant"`
	Preferred bool   `form:"preferred" label:"Preferred"`
}

// byChannel are the answers to one question, one for each way to reach a client.
type byChannel struct {
	Email   string `form:"email" label:"E-mail" choices:"=not asked|yes=allowed|no=refused"`
	Phone   string `form:"phone" label:"Telephone" choices:"=not asked|yes=allowed|no=refused"`
	Message string `form:"message" label:"Message" choices:"=not asked|yes=allowed|no=refused"`
	Post    string `form:"post" label:"Post" choices:"=not asked|yes=allowed|no=refused"`
}

type identityPaper struct {
	Paper  string `form:"paper" label:"Document" hint:"for example passport"`
	Number string `form:"paper_number" label:"Number"`
	Issuer string `form:"paper_issuer" label:"Issued by"`
}

var clientRecord = form.Define[clientForm]("client")

// Prepare implements the choices of a form.
func (f *clientForm) Prepare(v *form.View) {
	var kinds []form.Option
	for _, k := range shop.ClientKinds() {
		kinds = append(kinds, form.Option{Value: k, Text: say.Capital(k)})
	}
	v.Offer(&f.Kind, kinds...)
}

// spareChannels is how many empty rows for channels the form offers.
const spareChannels = 2

// clientOf is a record as the form shows it.
func clientOf(c shop.Client) clientForm {
	f := clientForm{clientName: clientName{c.Name, cmp.Or(c.Kind, shop.ClientKinds()[0]), c.Email, c.Phone, c.Country,
		c.TaxNumber, c.Language, c.CallFirst, c.Note},
		clientAddress: clientAddress{c.Address.Street, c.Address.PostCode, c.Address.City, c.Address.Region},
		Version:       c.Version}
	for _, x := range c.Channels {
		f.Channels = append(f.Channels, clientChannel{x.Kind, x.Value, x.Label, x.Preferred})
	}
	f.Channels = append(f.Channels, make([]clientChannel, spareChannels)...)
	for _, q := range f.consents() {
		*q.said = said(c, q)
	}
	if c.Identity != nil {
		f.identityPaper = identityPaper{c.Identity.Paper, c.Identity.Number, c.Identity.Issuer}
	}
	return f
}

// consentAsked is one question about what a client allows, with the member that holds the answer.
type consentAsked struct {
	purpose, channel string
	said             *string
}

func (f *clientForm) consents() []consentAsked {
	out := []consentAsked{{"keep", "", &f.Keep}}
	for _, by := range []struct {
		purpose string
		said    *byChannel
	}{{"offers", &f.Offers}, {"news", &f.News}} {
		out = append(out, consentAsked{by.purpose, "email", &by.said.Email},
			consentAsked{by.purpose, "phone", &by.said.Phone},
			consentAsked{by.purpose, "message", &by.said.Message}, consentAsked{by.purpose, "post", &by.said.Post})
	}
	return out
}

// said is the answer on record: yes, no, or nothing where the client was never asked.
func said(c shop.Client, q consentAsked) string {
	switch given, asked := c.AllowsBy(q.purpose, q.channel); {
	case !asked:
		return ""
	case given:
		return "yes"
	}
	return "no"
}

// over is the record with what was typed. by is who saw an identity document.
func (f *clientForm) over(c shop.Client, v *form.View, now time.Time, by string) shop.Client {
	c.Name, c.Email, c.Phone, c.Country, c.Language = f.Name, f.Email, f.Phone, strings.ToUpper(f.Country), f.Language
	c.TaxNumber = shop.TaxNumber(f.TaxNumber)
	c.CallFirst, c.Note, c.Version = f.CallFirst, f.Note, f.Version
	if c.Kind != "" || f.Kind != shop.ClientKinds()[0] {
		c.Kind = f.Kind
	}
	c.Address.Street, c.Address.PostCode, c.Address.City, c.Address.Region = f.Street, f.PostCode, f.City, f.Region
	if c.Country != "" && (len(c.Country) != 2 || strings.Trim(c.Country, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "") {
		v.Wrong(&f.Country, "“"+f.Country+"” is not the code of a country. Enter two letters, for example CH.")
	}
	if c.Email != "" && !strings.Contains(c.Email, "@") {
		v.Wrong(&f.Email, "“"+c.Email+"” is not an e-mail address. Enter one such as name@mail.example.")
	}
	c.Channels = f.channels(v)
	c.Consents = slices.Clone(c.Consents)
	for _, q := range f.consents() {
		switch before := said(c, q); {
		case *q.said == before:
		case *q.said == "":
			v.Wrong(q.said, "An answer on record cannot be removed. Choose allowed or refused.")
		default:
			c.Consents = append(c.Consents, shop.Consent{Purpose: q.purpose, Channel: q.channel,
				Given: *q.said == "yes", At: now, How: f.How})
		}
	}
	c.Identity = f.identity(c.Identity, now, by)
	return c
}

func (f *clientForm) channels(v *form.View) []shop.Channel {
	var out []shop.Channel
	for i := range f.Channels {
		switch x := &f.Channels[i]; {
		case x.Value == "" && x.Kind == "":
		case x.Kind == "":
			v.Wrong(&x.Kind, "Choose what “"+x.Value+"” is.")
		case x.Value == "":
			v.Wrong(&x.Value, "Enter the address or number, or choose none as the channel.")
		default:
			out = append(out, shop.Channel{Kind: x.Kind, Value: x.Value, Label: x.Label, Preferred: x.Preferred})
		}
	}
	return out
}

// identity is the document that was typed: the one on record where nothing of it changed.
func (f *clientForm) identity(old *shop.Identity, now time.Time, by string) *shop.Identity {
	p := f.identityPaper
	switch {
	case p.Paper == "" && p.Number == "":
		return nil
	case old != nil && p == (identityPaper{old.Paper, old.Number, old.Issuer}):
		return old
	}
	return &shop.Identity{Paper: p.Paper, Number: p.Number, Issuer: p.Issuer, By: by,
		Seen: edtf.MustParse(now.Format(time.DateOnly))}
}

// page is the form as the page shows it.
func (f *clientForm) page(v *form.View) clients.Form {
	d := clients.Form{Form: v, Name: v.Part(&f.clientName), Address: v.Part(&f.clientAddress),
		Offers: v.Part(&f.Offers), News: v.Part(&f.News), Keep: v.Field(&f.Keep), How: v.Field(&f.How),
		Paper: v.Part(&f.identityPaper), Version: v.Field(&f.Version)}
	for i := range f.Channels {
		d.Channels = append(d.Channels, v.Part(&f.Channels[i]))
	}
	return d
}
