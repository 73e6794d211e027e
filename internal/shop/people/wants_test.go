package people_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/people"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
)

func TestConsentByChannel(t *testing.T) {
	yes, no := true, false
	at := func(hours int, purpose, channel string, given bool) shop.Consent {
		return shop.Consent{Purpose: purpose, Channel: channel, Given: given,
			At: shoptest.Morning.Add(time.Duration(hours) * time.Hour)}
	}
	for _, c := range []struct {
		name     string
		client   shop.Client
		email    *bool // what AllowsBy tells of e-mail; nil: not asked
		phone    *bool
		mayOffer bool
	}{
		{"never asked", shop.Client{}, nil, nil, false},
		{"refused", shop.Client{Email: "a@b.example", Consents: []shop.Consent{at(0, "offers", "", no)}}, &no, &no,
			false},
		{"refused by e-mail, reached by e-mail alone", shop.Client{Email: "a@b.example",
			Consents: []shop.Consent{at(0, "offers", "email", no)}}, &no, nil, false},
		{"refused by e-mail, has a telephone", shop.Client{Email: "a@b.example", Phone: "1234567",
			Consents: []shop.Consent{at(0, "offers", "email", no)}}, &no, nil, false},
		{"allowed, then refused by telephone", shop.Client{Consents: []shop.Consent{at(0, "offers", "", yes),
			at(1, "offers", "phone", no)}}, &yes, &no, true},
		{"refused by telephone, then all refused", shop.Client{Consents: []shop.Consent{at(0, "offers", "phone", yes),
			at(1, "offers", "", no)}}, &no, &no, false},
		{"recorded out of order", shop.Client{Consents: []shop.Consent{at(1, "offers", "", yes),
			at(0, "offers", "", no)}}, &yes, &yes, true},
		{"another purpose", shop.Client{Consents: []shop.Consent{at(0, "news", "", no)}}, nil, nil, false},
	} {
		for channel, want := range map[string]*bool{"email": c.email, "phone": c.phone} {
			given, asked := c.client.AllowsBy("offers", channel)
			if asked != (want != nil) || want != nil && given != *want {
				t.Errorf("%s: by %s given %v, asked %v", c.name, channel, given, asked)
			}
		}
		if got := c.client.MayOffer(); got != c.mayOffer {
			t.Errorf("%s: may offer %v; want %v", c.name, got, c.mayOffer)
		}
	}
}

func TestChannelsAndConsentsOnRecord(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	for _, x := range []shop.Channel{{Kind: "email", Value: " b@vale.example "},
		{Kind: "email", Value: "home@vale.example", Label: "home"}, {Kind: "phone", Value: "+46 8 1",
			Preferred: true}, {Kind: "message", Value: "+46 8 2", Preferred: true}} {
		if _, err := h.People.AddChannel(ctx, "c_buyer", x); err != nil {
			t.Fatal(err)
		}
	}
	c, err := h.People.EndChannel(ctx, "c_buyer", "HOME@vale.example")
	if err != nil {
		t.Fatal(err)
	}
	if c.Email != "b@vale.example" || len(c.Channels) != 2 || c.Channels[0].Preferred || !c.Channels[1].Preferred {
		t.Errorf("found %q, %+v", c.Email, c.Channels)
	}
	var refused *shop.Invalid
	if _, err := h.People.EndChannel(ctx, "c_buyer", "nothing"); !errors.As(err, &refused) {
		t.Errorf("a channel that is not there: %v", err)
	}
	if _, err := h.People.AddChannel(ctx, "c_buyer", shop.Channel{Kind: "smoke", Value: "x"}); !errors.As(err,
		&refused) {
		t.Errorf("an unknown kind: %v", err)
	}
	if c, err = h.People.RecordConsent(ctx, "c_buyer", shop.Consent{Purpose: "offers", Channel: "email",
		Given: true}); err != nil {
		t.Fatal(err)
	}
	if given, asked := c.AllowsBy("offers", "email"); !given || !asked || c.Consents[0].At.IsZero() {
		t.Errorf("consent %+v", c.Consents)
	}
	if _, err := h.People.RecordConsent(ctx, "c_buyer", shop.Consent{Purpose: "offers",
		Channel: "pigeon"}); !errors.As(err, &refused) {
		t.Errorf("an unknown channel: %v", err)
	}
}

func TestWantChangedAndEnded(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	w := h.Offered(t)
	c, found, err := h.People.AddWant(ctx, "c_buyer", shop.Want{Maker: "Corvane"})
	if err != nil || len(found) != 1 {
		t.Fatal(found, err)
	}
	c, err = h.People.ChangeWant(ctx, "c_buyer", c.Version, 0, shop.Want{Maker: "Corvane", Reference: "KR-1",
		CallFirst: true})
	if err != nil || c.Wants[0].Added.IsZero() {
		t.Fatal(c.Wants, err)
	}
	if _, err := h.People.EndWant(ctx, "c_buyer", c.Version-1, 0); !errors.Is(err, shop.ErrConflict) {
		t.Errorf("a stale version: %v", err)
	}
	if _, err := h.People.EndWant(ctx, "c_buyer", c.Version, 1); err == nil ||
		!strings.Contains(err.Error(), "1 wants") {
		t.Errorf("a want that is not there: %v", err)
	}
	all, err := h.People.MatchWatch(ctx, w)
	if err != nil || len(all) != 1 || !all[0].CallFirst {
		t.Fatal(all, err)
	}
	if c, err = h.People.EndWant(ctx, "c_buyer", c.Version, 0); err != nil || !c.Wants[0].Ended(shoptest.Morning) {
		t.Fatal(c.Wants, err)
	}
	if all, err = h.People.MatchWatch(ctx, w); err != nil || len(all) != 0 {
		t.Errorf("an ended want matches: %v, %v", all, err)
	}
}

// TestMatchingSeesChanges: what is held in memory follows the records, whoever changed them.
func TestMatchingSeesChanges(t *testing.T) {
	t.Parallel()
	here, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	if _, _, err := here.People.AddWant(ctx, "c_buyer", shop.Want{Maker: "Corvane", Dial: "gilt"}); err != nil {
		t.Fatal(err)
	}
	fits := func() []float64 {
		t.Helper()
		all, err := here.People.MatchWant(ctx, "c_buyer")
		if err != nil {
			t.Fatal(err)
		}
		var out []float64
		for _, m := range all {
			out = append(out, m.Fit)
		}
		return out
	}
	if got := fits(); len(got) != 0 {
		t.Fatalf("nothing in stock: %v", got)
	}
	there := here.Elsewhere(t)
	w := there.Offered(t)
	if got := fits(); !slices.Equal(got, []float64{0.5}) { // halved since the dial is not on record
		t.Errorf("taken in elsewhere: %v", got)
	}
	if _, err := there.Intake.Record(ctx, w, "Ines", &evidence.Fitted{Slot: evidence.Dial, Variant: evidence.Unknown,
		Description: "black gilt dial"}); err != nil {
		t.Fatal(err)
	}
	if got := fits(); !slices.Equal(got, []float64{1}) {
		t.Errorf("with its dial recorded elsewhere: %v", got)
	}
	done(t)(there.Trade.Buy(ctx, w, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1000"),
		Pay: ledger.Bank}}, "Ines"))
	done(t)(there.Trade.Move(ctx, w, trade.Moving{To: shop.Reserved, Person: "c_buyer"}, "Ines"))
	if got := fits(); len(got) != 0 {
		t.Errorf("reserved elsewhere: %v", got)
	}
}

func TestPreviewImport(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	text := "Nom;Courriel\nVALE, Bruno;\nNina Ost;nina@ost.example\nN. Ost;NINA@ost.example\n"
	head, first, found, err := people.CSVColumns(strings.NewReader(text))
	if err != nil || !slices.Equal(head, []string{"Nom", "Courriel"}) ||
		!slices.Equal(first, []string{"VALE, Bruno", ""}) || len(found) != 0 {
		t.Fatal(head, first, found, err)
	}
	clients, bad, err := people.ReadCSV(strings.NewReader(text), map[string]string{"name": "Nom", "email": "Courriel"})
	if err != nil || len(bad) != 0 {
		t.Fatal(bad, err)
	}
	lines, err := h.People.PreviewImport(ctx, clients)
	if err != nil || len(lines) != 3 {
		t.Fatal(lines, err)
	}
	if lines[0].Of == nil || lines[0].Of.ID != "c_buyer" || lines[0].InFile {
		t.Errorf("the first: %+v; want it to look like c_buyer", lines[0])
	}
	if lines[1].Of != nil {
		t.Errorf("the second: %+v; want it new", lines[1])
	}
	if lines[2].Of == nil || !lines[2].InFile {
		t.Errorf("the third: %+v; want it to look like the second", lines[2])
	}
	if all, err := h.People.All(ctx); err != nil || len(all) != 4 {
		t.Errorf("%d clients, %v; want the 4 of before", len(all), err)
	}
}

// A buyer of a watch that was another's can be erased where nothing else is against it; one
// who has a watch of the shop's in hand cannot.
func TestBeforeErasing(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	sold, out := h.Offered(t), h.Offered(t)
	done(t)(h.Trade.Buy(ctx, out, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("1000"),
		Pay: ledger.Bank}}, "Ines"))
	done(t)(h.Trade.Move(ctx, out, trade.Moving{To: shop.OnMemo, Person: "c_partner"}, "Ines"))
	done(t)(h.Trade.Move(ctx, sold, trade.Moving{Person: "c_buyer", Holder: "c_bench"}, "Ines"))
	for client, want := range map[string]string{"c_partner": "no watch of the client's",
		"c_bench": "no watch of the client's", "c_buyer": ""} {
		file, against, err := h.People.BeforeErasing(ctx, client)
		if err != nil || file.Client.ID != client {
			t.Fatal(file.Client, err)
		}
		if got := against.Error(); (want == "") != (len(against) == 0) || !strings.Contains(got, want) {
			t.Errorf("%s: against it %q; want %q", client, got, want)
		}
	}
}
