package people_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/shoptest"
	"midcase/internal/shop/trade"
)

func TestLinesSearchAndTell(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	if _, err := h.People.Add(ctx, shop.Client{ID: "c_far", Name: "Wanda Far", Address: shop.Address{City: "Trieste"},
		Channels: []shop.Channel{{Kind: "message", Value: "+39 0401"}}, Wants: []shop.Want{{Maker: "Corvane",
			Dial: "gilt"}}}); err != nil {
		t.Fatal(err)
	}
	id := h.Offered(t)
	done(t)(h.Trade.Buy(ctx, id, trade.Buying{Terms: trade.Terms{Client: "c_seller", Amount: eur("900")}}, "Ines"))
	h.Clock.Set(shoptest.Morning.Add(time.Hour))
	done(t)(h.Trade.Sell(ctx, id, trade.Selling{Terms: trade.Terms{Client: "c_buyer", Amount: eur("1200")}}, "Ines"))
	for text, want := range map[string]string{"trieste gilt": "c_far", "0401": "c_far", "BRUNO": "c_buyer",
		"bruno gilt": "", "paula": "c_partner"} {
		lines, err := h.People.Lines(ctx, text)
		if err != nil || len(lines) > 1 || (len(lines) == 1) != (want != "") || want != "" &&
			lines[0].Client.ID != want {
			t.Errorf("%q: %+v, %v; want %s", text, lines, err, want)
		}
	}
	lines, err := h.People.Lines(ctx, "bruno")
	if err != nil || len(lines[0].Bought) != 1 || lines[0].Bought[0].ID != id ||
		!lines[0].Last.Equal(shoptest.Morning.Add(time.Hour)) {
		t.Errorf("the buyer's line: %+v, %v", lines, err)
	}
	if bought, err := h.People.BoughtBy(ctx, "c_seller"); err != nil || len(bought) != 0 {
		t.Errorf("bought by the seller: %v, %v", bought, err)
	}
}

func TestFindClient(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	for _, c := range []shop.Client{{ID: "c_1", Name: "Vera Holm", Email: "vera@holm.example"},
		{ID: "c_2", Name: "Vera Holmqvist"}} {
		if _, err := h.People.Add(ctx, c); err != nil {
			t.Fatal(err)
		}
	}
	for key, want := range map[string]string{"c_2": "c_2", "vera holm": "c_1", "VERA@holm.example": "c_1",
		"qvist": "c_2"} {
		if c, err := h.People.Find(ctx, key); err != nil || c.ID != want {
			t.Errorf("%q: %s, %v; want %s", key, c.ID, err, want)
		}
	}
	if _, err := h.People.Find(ctx, "vera"); !errors.Is(err, shop.ErrAmbiguous) ||
		!strings.Contains(err.Error(), "c_1") {
		t.Errorf("two of them: %v", err)
	}
	for _, key := range []string{"nobody", "", " "} {
		if _, err := h.People.Find(ctx, key); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("%q: %v", key, err)
		}
	}
}

func TestPromisesUntilAnswered(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	id := h.Offered(t)
	show := func(v shop.Showing) {
		t.Helper()
		v.Watch = id
		if _, err := h.People.Show(ctx, v, "Ines"); err != nil {
			t.Fatal(err)
		}
	}
	open := func() int {
		t.Helper()
		all, err := h.People.Promises(ctx)
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	show(shop.Showing{Client: "c_buyer", Kind: shop.Promised, Until: edtf.MustParse("2026-03-08")})
	if n := open(); n != 1 {
		t.Errorf("%d promises", n)
	}
	show(shop.Showing{Client: "c_buyer", Kind: shop.Declined})
	if n := open(); n != 0 {
		t.Errorf("%d promises after the answer", n)
	}
	for _, c := range []struct {
		v     shop.Showing
		by    string
		field string
	}{
		{shop.Showing{Watch: id, Client: "c_buyer", Kind: "sung"}, "Ines", "kind"},
		{shop.Showing{Watch: id, Client: "c_buyer", Kind: shop.Promised}, "Ines", "until"},
		{shop.Showing{Watch: id, Client: "c_none", Kind: shop.Shown}, "Ines", "client"},
		{shop.Showing{Watch: id, Client: "c_buyer", Kind: shop.Shown}, " ", "by"},
	} {
		_, err := h.People.Show(ctx, c.v, c.by)
		shoptest.Refused(t, err, c.field)
	}
	_, err := h.People.GoPublic(ctx, id, "Ines")
	shoptest.Refused(t, err, "watch")
	_, err = h.People.PrivateFirst(ctx, id, edtf.MustParse("2026-03-01"), "Ines")
	shoptest.Refused(t, err, "until")
	if _, err := h.People.PrivateFirst(ctx, id, edtf.MustParse("2026-03-09"), "Ines"); err != nil {
		t.Fatal(err)
	}
	if _, err := h.People.GoPublic(ctx, id, "Ines"); err != nil {
		t.Fatal(err)
	}
	if w, err := h.Watch(ctx, id); err != nil || w.PrivateOn(shoptest.Morning) {
		t.Errorf("still private: %+v, %v", w.PrivateTo, err)
	}
}

// Consent never appears from nothing: it is given by a channel only where the latest word on that
// channel, or on all, gave it.
func TestConsentIsOnlyWhatWasSaid(t *testing.T) {
	purposes, channels := shop.ConsentPurposes(), append([]string{""}, shop.ChannelKinds()...)
	rapid.Check(t, func(t *rapid.T) {
		var c shop.Client
		said := map[[2]string]bool{}
		for i := range rapid.IntRange(0, 8).Draw(t, "words") {
			x := shop.Consent{Purpose: rapid.SampledFrom(purposes).Draw(t, "purpose"),
				Channel: rapid.SampledFrom(channels).Draw(t, "channel"),
				Given:   rapid.Bool().Draw(t, "given"), At: shoptest.Morning.Add(time.Duration(i) * time.Minute)}
			c.Consents = append(c.Consents, x)
			for _, ch := range channels {
				if x.Channel == "" || x.Channel == ch {
					said[[2]string{x.Purpose, ch}] = x.Given
				}
			}
		}
		for _, p := range purposes {
			for _, ch := range shop.ChannelKinds() {
				given, asked := c.AllowsBy(p, ch)
				want, known := said[[2]string{p, ch}]
				if given != want || asked != known {
					t.Fatalf("%s by %s: given %t, asked %t; said %v", p, ch, given, asked, c.Consents)
				}
			}
		}
	})
}

// Erasing leaves no personal data in anything that the shop hands out of the client.
func TestErasingLeavesNothingPersonal(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), shop.As(t.Context(), "Ines")
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		mark := func(field string) string {
			return fmt.Sprintf("zq%d%s%s", n, field, rapid.StringMatching(`[a-z]{6}`).Draw(t, field))
		}
		c, err := h.People.Add(ctx, shop.Client{Name: mark("name"), Email: mark("mail"), Phone: mark("phone"),
			Note:     mark("note"),
			Address:  shop.Address{Street: mark("street"), City: mark("city"), PostCode: mark("post")},
			Channels: []shop.Channel{{Kind: "message", Value: mark("channel")}},
			Identity: &shop.Identity{Paper: "passport", Number: mark("number"), Issuer: mark("issuer"), By: "Ines"},
			Wants: []shop.Want{{Maker: mark("maker"),
				Note: mark("want")}}, Owns: []shop.Owned{{Note: mark("owns")}}})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := h.People.Erase(ctx, c.ID, ""); err != nil {
			t.Fatal(err)
		}
		file, err := h.People.Export(ctx, c.ID)
		if err != nil {
			t.Fatal(err)
		}
		all, err := h.People.All(ctx)
		if err != nil {
			t.Fatal(err)
		}
		names, list, err := h.Names(ctx, "test")
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal([]any{file, all, names, list})
		if err != nil {
			t.Fatal(err)
		}
		if at := strings.Index(string(text), fmt.Sprintf("zq%d", n)); at >= 0 {
			t.Fatalf("left after erasing: …%s…", text[at:min(len(text), at+60)])
		}
		if lines, err := h.People.Lines(ctx, fmt.Sprintf("zq%d", n)); err != nil || len(lines) != 0 {
			t.Fatalf("found after erasing: %v, %v", lines, err)
		}
		_, err = h.People.Change(ctx, file.Client)
		var refused *shop.Invalid
		if !errors.As(err, &refused) {
			t.Fatalf("changed after erasing: %v", err)
		}
	})
}
