package storetest

import (
	"fmt"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/money"
)

func testCreateWatch(t *testing.T, s Stores) {
	ctx := t.Context()
	date, err := edtf.Parse("2026-02?")
	ok(t, err)
	w := newWatch("w_1")
	w.Acquired, w.Client, w.Note = date, "c_1", "two lines\nand a tab\t"
	w.Cost, w.Number, w.Version = money.MustParse("3900", "CHF"), 77, 12
	kept := create(t, s, w, seen("ev_1", "A1"), seen("ev_2", "A2"))
	equal(t, "number", kept.Number, 1)
	equal(t, "version", kept.Version, 1)
	if !kept.Created.Equal(day) || !kept.Changed.Equal(day) {
		t.Errorf("times %v, %v; want %v", kept.Created, kept.Changed, day)
	}
	w.Number, w.Version = 1, 1
	same(t, "note", kept.Note, w.Note)
	same(t, "date", kept.Acquired.String(), "2026-02?")
	same(t, "cost", kept.Cost, w.Cost)
	same(t, "read again", must(s.Watch(ctx, "w_1"))(t), kept)
	equal(t, "items", len(must(s.Evidence(ctx, "w_1"))(t)), 2)

	equal(t, "next number", create(t, s, newWatch("w_2")).Number, 2)
	equal(t, "items of a watch without any", len(must(s.Evidence(ctx, "w_2"))(t)), 0)

	_, err = s.CreateWatch(ctx, newWatch("w_1"))
	wantErr(t, "create again", err, shop.ErrExists)
	_, err = s.Watch(ctx, "w_9")
	wantErr(t, "no such watch", err, shop.ErrNotFound)
	if _, err = s.CreateWatch(ctx, newWatch("")); err == nil {
		t.Error("a watch without an id was taken")
	}
}

func testCreateWatchAllOrNone(t *testing.T, s Stores) {
	ctx := t.Context()
	_, err := s.CreateWatch(ctx, newWatch("w_1"), seen("ev_1", "A"), seen("ev_1", "B"))
	wantErr(t, "two items of one id", err, shop.ErrExists)
	_, err = s.Watch(ctx, "w_1")
	wantErr(t, "the watch afterwards", err, shop.ErrNotFound)
	size, _, err := s.Head(ctx)
	ok(t, err)
	equal(t, "size of the log", size, 0)
	equal(t, "number", create(t, s, newWatch("w_1"), seen("ev_1", "A")).Number, 1)
	ok(t, s.Verify(ctx))
}

func testFindWatch(t *testing.T, s Stores) {
	ctx := t.Context()
	for i := 1; i <= 12; i++ {
		w := newWatch(fmt.Sprintf("w_%d", i))
		switch i {
		case 3:
			w.Serial = " Äb 100 "
		case 4:
			w.Serial = "7" // also a file number
		case 5:
			w.Serial = "0012"
		case 6:
			w.Serial = "990001"
		case 8, 9:
			w.Serial = "twin"
		}
		create(t, s, w)
	}
	for key, want := range map[string]shop.WatchID{
		"w_5": "w_5", "12": "w_12", "#12": "w_12", " # 7 ": "w_7", "7": "w_7", "0012": "w_5", "#012": "w_12",
		"äB 100": "w_3", "990001": "w_6", "S W_1": "w_1",
	} {
		w, err := s.FindWatch(ctx, key)
		if err != nil || w.ID != want {
			t.Errorf("find %q: %s, %v; want %s", key, w.ID, err, want)
		}
	}
	for _, key := range []string{"", " ", "#", "13", "#13", "#990001", "100", "%", "_", "99999999999999999999999", "-1",
		"+1", "\x00", "\xff"} {
		w, err := s.FindWatch(ctx, key)
		if w.ID != "" {
			t.Errorf("find %q: found %s", key, w.ID)
		}
		wantErr(t, fmt.Sprintf("find %q", key), err, shop.ErrNotFound)
	}
	_, err := s.FindWatch(ctx, "TWIN")
	wantErr(t, "find twin", err, shop.ErrAmbiguous)
	if err != nil && !strings.Contains(err.Error(), "#8, #9") {
		t.Errorf("find twin: %v; want it to name #8 and #9", err)
	}
}

func testUpdateWatch(t *testing.T, s Stores) {
	ctx := t.Context()
	first := create(t, s, newWatch("w_1"))
	create(t, s, newWatch("w_2"))

	w := first
	w.State, w.Place, w.Number, w.Created = shop.Listed, "window", 2, day.AddDate(1, 0, 0)
	second, err := s.UpdateWatch(ctx, w)
	ok(t, err)
	equal(t, "version", second.Version, 2)
	equal(t, "number", second.Number, 1)
	equal(t, "state", second.State, shop.Listed)
	if !second.Created.Equal(first.Created) {
		t.Errorf("created moved to %v", second.Created)
	}
	same(t, "read again", must(s.Watch(ctx, "w_1"))(t), second)

	_, err = s.UpdateWatch(ctx, w)
	wantErr(t, "stale version", err, shop.ErrConflict)
	w.Version = 3
	_, err = s.UpdateWatch(ctx, w)
	wantErr(t, "version of the future", err, shop.ErrConflict)
	same(t, "after the conflicts", must(s.Watch(ctx, "w_1"))(t), second)
	_, err = s.UpdateWatch(ctx, newWatch("w_9"))
	wantErr(t, "no such watch", err, shop.ErrNotFound)

	second.Serial = "new"
	must(s.UpdateWatch(ctx, second))(t)
	equal(t, "found by the new serial", must(s.FindWatch(ctx, "NEW"))(t).ID, "w_1")
	_, err = s.FindWatch(ctx, "S w_1")
	wantErr(t, "found by the old serial", err, shop.ErrNotFound)
}

func testFilterWatches(t *testing.T, s Stores) {
	ctx := t.Context()
	for i, w := range []shop.Watch{
		{Title: "Diver, 100% original", Maker: "Alba Nord", Reference: "A_1", State: shop.Listed, Place: "Zürich"},
		{Title: "Dress watch", Maker: "ALBA NORD", Reference: "A-1", State: shop.Sold, Note: "Straße 5, Łódź"},
		{Title: "Pilot", Maker: "Émeraude", Reference: "AX1", State: shop.Listed, Serial: "Back\\slash"},
		{Title: "Chronograph 1000", Maker: "Émeraude", Reference: "a_1", State: shop.Listed, Note: "original\ndial"},
	} {
		w.ID, w.Created, w.Changed = shop.WatchID(fmt.Sprintf("w_%d", i+1)), day, day
		create(t, s, w)
	}
	for _, test := range []struct {
		filter shop.Filter
		want   string
	}{
		{shop.Filter{}, "1 2 3 4"},
		{shop.Filter{Text: "  "}, "1 2 3 4"},
		{shop.Filter{Text: "DIVER"}, "1"},
		{shop.Filter{Text: "original"}, "1 4"},
		{shop.Filter{Text: "original alba"}, "1"},
		{shop.Filter{Text: "100%"}, "1"},
		{shop.Filter{Text: "a_1"}, "1 4"},
		{shop.Filter{Text: "k\\s"}, "3"},
		{shop.Filter{Text: "zürich"}, "1"},
		{shop.Filter{Text: "ZURICH"}, "1"},
		{shop.Filter{Text: "Zu\u0308rich"}, "1"},
		{shop.Filter{Text: "strasse"}, "2"},
		{shop.Filter{Text: "STRASSE łódź"}, "2"},
		{shop.Filter{Text: "lodz"}, "2"},
		{shop.Filter{Text: "éMERAUDE"}, "3 4"},
		{shop.Filter{Text: "'; DROP TABLE watches; --"}, ""},
		{shop.Filter{Text: "nothing\x00"}, ""},
		{shop.Filter{State: shop.Listed}, "1 3 4"},
		{shop.Filter{Maker: " alba nord"}, "1 2"},
		{shop.Filter{Maker: "alba"}, ""},
		{shop.Filter{Maker: "éMERAUDE", State: shop.Listed}, "3 4"},
		{shop.Filter{Reference: "a_1"}, "1 4"},
		{shop.Filter{Limit: 2}, "1 2"},
		{shop.Filter{Offset: 1}, "2 3 4"},
		{shop.Filter{Limit: 1, Offset: 2}, "3"},
		{shop.Filter{State: shop.Listed, Text: "1", Limit: 1, Offset: 1}, "3"},
		{shop.Filter{Offset: 9}, ""},
	} {
		var got []string
		for _, w := range must(s.Watches(ctx, test.filter))(t) {
			got = append(got, strings.TrimPrefix(string(w.ID), "w_"))
		}
		if strings.Join(got, " ") != test.want {
			t.Errorf("%+v: watches %v; want %s", test.filter, got, test.want)
		}
	}
	equal(t, "count", must(s.CountWatches(ctx, shop.Filter{}))(t), 4)
	equal(t, "count with limit", must(s.CountWatches(ctx, shop.Filter{State: shop.Listed, Limit: 1, Offset: 7}))(t), 3)
}
