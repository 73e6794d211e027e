package demo

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/money"
)

// clientNames are invented; so are their addresses under .example.
var clientNames = []struct{ name, country string }{
	{"Ansel Brightmoor", "GB"}, {"Wilhelmina Osterkamm", "DE"}, {"Fabrice Lorvanne", "FR"},
	{"Ginevra Paltrocchi", "IT"}, {"Harald Nystrand", "SE"},
	{"Beatrix Holdermatt", "CH"}, {"Cormac Dunvarrow", "IE"}, {"Lotte Vandermeyl", "NL"}, {"Tobiah Winslade", "US"},
	{"Maren Kjeldrup", "DK"},
	{"Ottokar Feldbrunn", "AT"}, {"Celestine Aubrevaux", "FR"}, {"Ruben Castalvo", "ES"}, {"Yorick Tannebaum", "DE"},
	{"Philippa Garrowby", "GB"},
	{"Domenico Straventi", "IT"}, {"Ilse Rautenkamp", "DE"}, {"Nathaniel Quarmsley", "US"}, {"Solveig Brattholm", "NO"},
	{"Adrien Montcarvel", "CH"},
	{"Thornvale Time Trading", "GB"}, {"Uhrenhandel Lindentor", "DE"}, {"Edda Svartholm", "SE"},
	{"Benedikt Auenhofer", "AT"}, {"Marguerite Delansart", "FR"},
}

// wants is what the clients look for, by client.
var wants = [][]shop.Want{
	{{Maker: "Corvane", Family: "Plenaire", Metal: "steel", ConditionFloor: 7, OriginalityFloor: 0.85,
		Note: "unpolished before all else"}},
	{{Maker: "Corvane", Reference: "KR-8-18", ConditionFloor: 6}},
	{{Maker: "Quillard Frères", Family: "Comptelle", Note: "copper dial"},
		{Maker: "Quillard Frères", Family: "Belorme", Metal: "gold18"}},
	{{Maker: "Halmstedt & Roy", Family: "Nereon", OriginalityFloor: 0.8}},
	{{Maker: "Lindqvarn"}},
	{{Maker: "Halmstedt & Roy", Reference: "610", Note: "gilt dial"}},
	{{Maker: "Brackwell", Family: "Wayfarthing", ConditionFloor: 5}},
	{{Maker: "Ostrel", Family: "Skerrow", Note: "first reference"}},
	{{Maker: "Corvane", Reference: "KR-8-14"}, {Maker: "Halmstedt & Roy", Metal: "gold14"}},
	{{Maker: "Lindqvarn", Family: "Djupare", ConditionFloor: 7}},
	{{Metal: "gold18", ConditionFloor: 6, Note: "dress watch under 35 mm"}},
	{{Maker: "Quillard Frères", Reference: "QC-2"}},
	{{Maker: "Ostrel", Reference: "OS-20", ConditionFloor: 8}},
	{{Maker: "Corvane", Reference: "KV-1"}, {Maker: "Corvane", Reference: "KV-3"}},
	{{Maker: "Brackwell", Family: "Marlock"}},
	{{Maker: "Halmstedt & Roy", Reference: "628", ConditionFloor: 7}},
	{{Maker: "Ostrel", Family: "Calden"}},
	{{Maker: "Corvane", Reference: "KR-2", ConditionFloor: 8, OriginalityFloor: 0.9}},
	{{Maker: "Lindqvarn", Reference: "L-220", Note: "no relume"}},
	{{Maker: "Corvane", Family: "Aurelane", Metal: "gold18"}},
	{{Maker: "Brackwell", Note: "buys across the trade; pays within a week"}},
	{{Maker: "Halmstedt & Roy"}, {Maker: "Ostrel"}},
	{{Maker: "Lindqvarn", Family: "Isfarare"}},
	{{Maker: "Halmstedt & Roy", Family: "Solvane", ConditionFloor: 7}},
	{{Maker: "Quillard Frères", Reference: "QB-2"}},
}

// manner is what is known of how a client is dealt with.
type manner struct {
	kind, language string
	callFirst      bool
	channels       []shop.Channel
	consents       []shop.Consent // without their time
	owns           []shop.Owned
}

// known is the manner of some clients; the others were never asked.
var known = map[string]manner{
	"c_01": {language: "en", consents: []shop.Consent{{Purpose: "offers", Given: true, How: "in writing"},
		{Purpose: "news", Given: false, How: "by word"}}},
	"c_02": {language: "de",
		consents: []shop.Consent{{Purpose: "offers", Channel: "email", Given: true, How: "on a form"},
			{Purpose: "offers", Channel: "phone", Given: false, How: "on a form"}}},
	"c_03": {language: "fr", channels: []shop.Channel{{Kind: "message", Value: "+44 1632 960017", Preferred: true}},
		consents: []shop.Consent{{Purpose: "offers", Given: true, How: "by word"}}},
	"c_05": {callFirst: true, consents: []shop.Consent{{Purpose: "offers", Given: true, How: "in writing"},
		{Purpose: "keep", Given: true, How: "in writing"}}},
	"c_08": {language: "nl", consents: []shop.Consent{{Purpose: "offers", Given: false, How: "in writing"}},
		owns: []shop.Owned{{Maker: "Ostrel", Reference: "OS-10", Note: "wears it daily"}}},
	"c_10": {consents: []shop.Consent{{Purpose: "offers", Given: true, How: "by word"}}},
	"c_14": {callFirst: true, language: "de", owns: []shop.Owned{{Maker: "Corvane", Reference: "KR-2"}}},
	"c_21": {kind: "dealer"},
	"c_22": {kind: "dealer", language: "de",
		channels: []shop.Channel{{Kind: "phone", Value: "+44 1632 960004", Label: "work"}}},
}

func (m manner) on(c *shop.Client) {
	c.Kind, c.Language, c.CallFirst, c.Channels, c.Owns = m.kind, m.language, m.callFirst, m.channels, m.owns
	for _, x := range m.consents {
		x.At = c.Created
		c.Consents = append(c.Consents, x)
	}
}

// makeClients makes 25 clients with what they look for and what they would pay.
func makeClients(seed uint64) []shop.Client {
	s := newStream(seed, "clients")
	out := make([]shop.Client, len(clientNames))
	for i, n := range clientNames {
		created := time.Date(2024, 1, 10+13*i, 9+i%8, 15, 0, 0, time.UTC)
		c := shop.Client{ID: fmt.Sprintf("c_%02d", i+1), Name: n.name, Country: n.country, Created: created,
			Changed: created, Version: 1,
			Email: strings.ToLower(strings.ReplaceAll(n.name, " ", ".")) + "@mail.example",
			Phone: fmt.Sprintf("+44 1632 960%03d", 101+7*i)}
		known[c.ID].on(&c)
		for _, want := range wants[i] {
			want.Budget = euros(1500 + 500*float64(s.IntN(40)))
			c.Wants = append(c.Wants, want)
		}
		if c.ID == dealerAbroad || c.ID == dealerAtHome {
			c.Kind = "dealer"
		}
		if slices.Contains(privateSellers, c.ID) {
			c.Identity = &shop.Identity{Paper: "identity card", Number: fmt.Sprintf("SPECIMEN-%04d", 1000+37*i),
				Issuer: n.country, Seen: edtf.MustParse("2026-01-09"), By: owner}
		}
		out[i] = c
	}
	return out
}

// euros is a round amount in EUR.
func euros(v float64) money.Money {
	m, err := money.Round(v, "EUR")
	if err != nil {
		panic(err) // every amount of the world is finite and small
	}
	return m
}
