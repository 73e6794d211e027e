package storetest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"midcase/internal/shop"
	"midcase/money"
)

func testClients(t *testing.T, s Stores) {
	ctx := t.Context()
	c := shop.Client{ID: "c_1", Name: "Ada Quill", Email: "ada@example.org", Country: "CH", Created: day, Changed: day,
		Version: 5,
		Wants:   []shop.Want{{Maker: "Alba Nord", ConditionFloor: 7.5, Budget: money.MustParse("5000.00", "EUR")}}}
	kept, err := s.CreateClient(ctx, c)
	ok(t, err)
	equal(t, "version", kept.Version, 1)
	same(t, "wants", kept.Wants, c.Wants)
	same(t, "read again", must(s.Client(ctx, "c_1"))(t), kept)
	_, err = s.CreateClient(ctx, c)
	wantErr(t, "create again", err, shop.ErrExists)
	_, err = s.Client(ctx, "c_9")
	wantErr(t, "no such client", err, shop.ErrNotFound)
	if _, err := s.CreateClient(ctx, shop.Client{Name: "nobody"}); err == nil {
		t.Error("a client without an id was taken")
	}

	kept.Phone, kept.Created = "+41 44 000 00 00", time.Time{}
	second, err := s.UpdateClient(ctx, kept)
	ok(t, err)
	equal(t, "version", second.Version, 2)
	if !second.Created.Equal(day) {
		t.Errorf("created moved to %v", second.Created)
	}
	_, err = s.UpdateClient(ctx, kept)
	wantErr(t, "stale version", err, shop.ErrConflict)
	_, err = s.UpdateClient(ctx, shop.Client{ID: "c_9", Name: "nobody", Version: 1})
	wantErr(t, "update of no such client", err, shop.ErrNotFound)
	same(t, "after the refusals", must(s.Client(ctx, "c_1"))(t), second)
}

// testClientsInOrder holds the order to that of a reader: without regard to case or
// accents, the same in every language of the server, then by id.
func testClientsInOrder(t *testing.T, s Stores) {
	ctx := t.Context()
	want := []string{"", "1st Hand", "Ångström", "anna", "Anna B", "Émile", "emilia", "Łukasz", "Østergård", "otto",
		"Straße", "strassen", "Zoë"}
	for i := range want {
		n := (i*5 + 3) % len(want) // not in their order
		must(s.CreateClient(ctx, shop.Client{ID: fmt.Sprintf("c_%02d", n), Name: want[n]}))(t)
	}
	must(s.CreateClient(ctx, shop.Client{ID: "c_B", Name: "ZOË"}))(t)
	must(s.CreateClient(ctx, shop.Client{ID: "c_a", Name: "zoe"}))(t)
	want = append(want, "ZOË", "zoe")
	var got []string
	for _, c := range must(s.Clients(ctx))(t) {
		got = append(got, c.Name)
	}
	same(t, "order", strings.Join(got, "|"), strings.Join(want, "|"))
}

func testOpinions(t *testing.T, s Stores) {
	ctx := t.Context()
	create(t, s, newWatch("w_1"))
	equal(t, "none yet", len(must(s.Opinions(ctx, "w_1"))(t)), 0)
	bytes := []byte("{ \"b\": 1.50,\n \"a\": \"é\" }") // comes back byte for byte
	for i, formed := range []time.Time{day, day.Add(time.Hour), day.Add(-time.Hour), day, {}} {
		ok(t, s.KeepOpinion(ctx, shop.KeptOpinion{Watch: "w_1", AsOf: fmt.Sprintf("2026-03-0%d", i+1), Formed: formed,
			Evidence: i, JSON: bytes}))
	}
	var got []string
	for _, o := range must(s.Opinions(ctx, "w_1"))(t) {
		got = append(got, fmt.Sprintf("%s/%d", o.AsOf, o.Evidence))
		equal(t, "watch", o.Watch, "w_1")
		equal(t, "JSON", string(o.JSON), string(bytes))
	}
	same(t, "latest first", got, []string{"2026-03-02/1", "2026-03-04/3", "2026-03-01/0", "2026-03-03/2",
		"2026-03-05/4"})
	if formed := must(s.Opinions(ctx, "w_1"))(t)[0].Formed; !formed.Equal(day.Add(time.Hour)) {
		t.Errorf("formed %v; want %v", formed, day.Add(time.Hour))
	}
	create(t, s, newWatch("w_2"))
	ok(t, s.KeepOpinion(ctx, shop.KeptOpinion{Watch: "w_2", AsOf: "2026-03-09", Formed: day, Evidence: 9, JSON: bytes}))
	got = nil
	for _, o := range must(s.LatestOpinions(ctx))(t) {
		got = append(got, fmt.Sprintf("%s %s/%d", o.Watch, o.AsOf, o.Evidence))
	}
	same(t, "kept last of each", got, []string{"w_1 2026-03-05/4", "w_2 2026-03-09/9"})
	wantErr(t, "no such watch", s.KeepOpinion(ctx, shop.KeptOpinion{Watch: "w_9", JSON: bytes}), shop.ErrNotFound)
	_, err := s.Opinions(ctx, "w_9")
	wantErr(t, "opinions of no such watch", err, shop.ErrNotFound)
	if err := s.KeepOpinion(ctx, shop.KeptOpinion{Watch: "w_1", JSON: []byte("{")}); err == nil {
		t.Error("an opinion that is not JSON was kept")
	}
}

func testSettings(t *testing.T, s Stores) {
	ctx := t.Context()
	_, err := s.Setting(ctx, "currency")
	wantErr(t, "never set", err, shop.ErrNotFound)
	for _, value := range []string{"EUR", "CHF", "", "two\nlines\té ß <&>"} {
		ok(t, s.SetSetting(ctx, "currency", value))
		equal(t, "setting", must(s.Setting(ctx, "currency"))(t), value)
	}
	_, err = s.Setting(ctx, "Currency")
	wantErr(t, "another name", err, shop.ErrNotFound)
	for name, value := range map[string]string{"": "a", "nul": "a\x00", "bytes": "\xff"} {
		if err := s.SetSetting(ctx, name, value); err == nil {
			t.Errorf("setting %q = %q was taken", name, value)
		}
	}
}

// testOddText holds that text which one engine cannot hold is treated alike by all.
func testOddText(t *testing.T, s Stores) {
	ctx := t.Context()
	w := newWatch("w_1")
	w.Title, w.Maker, w.Serial, w.Note = "nul \x00 inside", "\x00", "s\x00t", "broken \xff byte, '; --"
	kept := create(t, s, w)
	equal(t, "title", kept.Title, "nul \x00 inside")
	equal(t, "note", kept.Note, "broken \uFFFD byte, '; --")
	same(t, "read again", must(s.Watch(ctx, "w_1"))(t), kept)
	equal(t, "found by text", len(must(s.Watches(ctx, shop.Filter{Text: "nul inside"}))(t)), 1)
	for _, id := range []string{"a\x00", "a\nb", "\xff"} {
		if _, err := s.CreateWatch(ctx, newWatch(id)); err == nil {
			t.Errorf("watch id %q was taken", id)
		}
		if _, err := s.CreateClient(ctx, shop.Client{ID: id}); err == nil {
			t.Errorf("client id %q was taken", id)
		}
		if err := s.Append(ctx, "w_1", seen(id, "x")); err == nil {
			t.Errorf("item id %q was taken", id)
		}
	}
	for what, err := range map[string]error{
		"watch": errOf(s.Watch(ctx, "\x00")), "client": errOf(s.Client(ctx, "\x00")), "sale": errOf(s.Sale(ctx,
			"\xff")),
		"setting": errOf(s.Setting(ctx, "\x00")), "evidence": errOf(s.Evidence(ctx,
			"\x00")), "opinions": errOf(s.Opinions(ctx, "\x00")),
		"append": s.Append(ctx, "\x00", seen("ev_1", "x")),
	} {
		wantErr(t, what, err, shop.ErrNotFound)
	}
}

func errOf[T any](_ T, err error) error { return err }
