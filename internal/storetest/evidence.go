package storetest

import (
	"encoding/json"
	"fmt"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
)

func testAppend(t *testing.T, s Stores) {
	ctx := t.Context()
	create(t, s, newWatch("w_1"), seen("ev_1", "first"))
	create(t, s, newWatch("w_2"))
	ok(t, s.Append(ctx, "w_1", seen("ev_9", "second"), seen("ev_2", "third")))
	ok(t, s.Append(ctx, "w_2", seen("ev_1", "the same id on another watch")))
	ok(t, s.Append(ctx, "w_1", evidence.Item{ID: "ev_3", At: day, By: "Ben",
		Data: &evidence.Withdrawal{Of: "ev_9", Reason: "misread"}}))
	ok(t, s.Append(ctx, "w_1"))

	items := must(s.Evidence(ctx, "w_1"))(t)
	var ids []evidence.ID
	for _, item := range items {
		ids = append(ids, item.ID)
	}
	same(t, "order of recording", ids, []evidence.ID{"ev_1", "ev_9", "ev_2", "ev_3"})
	same(t, "text", items[1].Data.(*evidence.Mark).Text, "second")

	wantErr(t, "same id", s.Append(ctx, "w_1", seen("ev_4", "new"), seen("ev_9", "again")), shop.ErrExists)
	wantErr(t, "same id twice in a call", s.Append(ctx, "w_1", seen("ev_5", "a"), seen("ev_5", "b")), shop.ErrExists)
	wantErr(t, "no such watch", s.Append(ctx, "w_9", seen("ev_1", "a")), shop.ErrNotFound)
	wantErr(t, "nothing for no such watch", s.Append(ctx, "w_9"), shop.ErrNotFound)
	_, err := s.Evidence(ctx, "w_9")
	wantErr(t, "evidence of no such watch", err, shop.ErrNotFound)
	for what, item := range map[string]evidence.Item{
		"no id": seen("", "a"), "no data": {ID: "ev_6", At: day, By: "Ada"},
		"year 10000": {ID: "ev_7", At: day.AddDate(9000, 0, 0), By: "Ada", Data: &evidence.Claim{}},
	} {
		if err := s.Append(ctx, "w_1", seen("ev_8", "good"), item); err == nil {
			t.Errorf("an item with %s was taken", what)
		}
	}
	equal(t, "items after the refusals", len(must(s.Evidence(ctx, "w_1"))(t)), 4)
	ok(t, s.Verify(ctx))
}

func testAppendEveryKind(t *testing.T, s Stores) {
	ctx := t.Context()
	create(t, s, newWatch("w_1"))
	var items []evidence.Item
	for _, kind := range evidence.Kinds() {
		data, err := evidence.New(kind)
		ok(t, err)
		items = append(items, evidence.Item{ID: evidence.ID("ev_" + kind), At: day, By: "Ada é ß 時計",
			Note: "a\nb \u2028 <&> \x00", Data: data})
	}
	ok(t, s.Append(ctx, "w_1", items...))
	back := must(s.Evidence(ctx, "w_1"))(t)
	equal(t, "items", len(back), len(items))
	for i := range back {
		got, want := must(json.Marshal(back[i]))(t), must(json.Marshal(items[i]))(t)
		if string(got) != string(want) {
			t.Errorf("item %d:\n got %s\nwant %s", i, got, want)
		}
	}
	ok(t, s.Verify(ctx))
}

func testHead(t *testing.T, s Stores) {
	ctx := t.Context()
	size, root, err := s.Head(ctx)
	ok(t, err)
	equal(t, "size of an empty log", size, 0)
	// The root of an empty tree is the hash of nothing, RFC 9162 section 2.1.1;
	// SHA-256 of no bytes is e3b0c442 98fc1c14 9afbf4c8 996fb924 27ae41e4 649b934c a495991b 7852b855.
	equal(t, "root of an empty log", root, "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=")

	create(t, s, newWatch("w_1"))
	heads := []string{root}
	for i := range 20 {
		ok(t, s.Append(ctx, "w_1", seen(fmt.Sprintf("ev_%d", i), "x")))
		size, root, err := s.Head(ctx)
		ok(t, err)
		equal(t, "size", size, int64(i+1))
		heads = append(heads, root)
	}
	for i, root := range heads {
		if err := s.CheckHead(ctx, int64(i), root); err != nil {
			t.Errorf("head of size %d: %v", i, err)
		}
	}
	for size, root := range map[int64]string{19: heads[20], 21: heads[20], -1: heads[0], 3: "rubbish"} {
		if err := s.CheckHead(ctx, size, root); err == nil {
			t.Errorf("a wrong head of size %d passed", size)
		}
	}
}
