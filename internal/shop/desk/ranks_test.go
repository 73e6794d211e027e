package desk_test

import (
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/library"
	"midcase/internal/shop/shoptest"
)

// judge records on a watch how its dial compares with another's.
func judge(t *testing.T, b *shoptest.Bench, on shop.WatchID, result string, other shop.WatchID, by string) evidence.Item {
	t.Helper()
	items, err := b.Intake.Record(t.Context(), on, by, &evidence.Comparison{Slot: evidence.Dial, Other: string(other),
		Result: result})
	if err != nil {
		t.Fatal(err)
	}
	return items[0]
}

func ranks(t *testing.T, b *shoptest.Bench, slot evidence.Slot) desk.Ranks {
	t.Helper()
	r, err := b.Desk.Ranks(t.Context(), "Corvane", "KR-1", slot)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The watch judged best stands first whichever way round it was said; a better dial ranks no case; a judgement that is
// withdrawn moves what it had moved.
func TestRanksFollowWhatWasJudged(t *testing.T) {
	b := shoptest.New(t)
	one, two, three, four := b.Offered(t), b.Offered(t), b.Offered(t), b.Offered(t)
	if r := ranks(t, b, evidence.Dial); r.Next == nil || len(r.Ranked) != 4 || r.Ranked[0].Judged != 0 || r.Pairs != 0 {
		t.Errorf("before anybody judged: %+v", r)
	}
	judge(t, b, one, "worse", two, "Ines")
	judge(t, b, three, "better", two, "Ines")
	judge(t, b, one, "same", one, "Ines") // a slip: with itself
	before := ranks(t, b, evidence.Dial)
	if before.Ranked[0].Watch.ID != three || before.Ranked[1].Watch.ID != two || before.Ranked[2].Watch.ID != one ||
		before.Ranked[3].Watch.ID != four || before.Ranked[3].Judged != 0 || len(before.Judgements) != 2 {
		t.Errorf("three before two before one, four never judged: %+v", before.Ranked)
	}
	if p := before.Ranked[0].Place; p[0] < 1 || p[1] > 4 || p[0] > p[1] {
		t.Errorf("its place is %v of 4", p)
	}
	if r := ranks(t, b, evidence.Case); len(r.Judgements) != 0 || r.Ranked[0].Judged != 0 {
		t.Errorf("a better dial ranked a case: %+v", r)
	}
	turned := judge(t, b, two, "better", three, "Paul")
	again := judge(t, b, two, "better", three, "Paul")
	moved := ranks(t, b, evidence.Dial).Since(before)
	if len(moved) == 0 {
		t.Error("two who contradict the first moved nothing")
	}
	for _, it := range []evidence.Item{turned, again} {
		if _, err := b.Intake.Withdraw(t.Context(), two, it.ID, "the wrong one", "Paul"); err != nil {
			t.Fatal(err)
		}
	}
	if moved := ranks(t, b, evidence.Dial).Since(before); len(moved) != 0 {
		t.Errorf("withdrawn, and still moved: %+v", moved)
	}
}

// Two people who agree on every pair have an alpha of 1, two who never do one below 0; the last word on a pair counts.
func TestAgreementOfPeople(t *testing.T) {
	b := shoptest.New(t)
	one, two, three := b.Offered(t), b.Offered(t), b.Offered(t)
	judge(t, b, one, "better", two, "Ines")
	judge(t, b, two, "worse", one, "Paul")
	judge(t, b, three, "worse", two, "Ines")
	judge(t, b, two, "better", three, "Paul")
	if r := ranks(t, b, evidence.Dial); r.Pairs != 2 || r.Alpha != 1 || len(r.Judges) != 2 || r.Judges[0].Name != "Ines" ||
		r.Judges[0].Agrees != 1 {
		t.Errorf("they agree: alpha %.2f over %d pairs, %+v", r.Alpha, r.Pairs, r.Judges)
	}
	b.Clock.Set(shoptest.Morning.Add(time.Hour))
	judge(t, b, one, "worse", two, "Paul")
	judge(t, b, three, "better", two, "Paul")
	if r := ranks(t, b, evidence.Dial); r.Pairs != 2 || r.Alpha >= 0 {
		t.Errorf("they never agree: alpha %.2f over %d pairs", r.Alpha, r.Pairs)
	}
}

// Somebody who agreed with the others and then turned is said to drift.
func TestAPersonDrifts(t *testing.T) {
	b := shoptest.New(t)
	one, two := b.Offered(t), b.Offered(t)
	for range 6 {
		judge(t, b, one, "better", two, "Ines")
	}
	for _, said := range []string{"better", "worse"} {
		b.Clock.Set(b.Clock.Now().Add(time.Hour))
		for range 4 {
			judge(t, b, one, said, two, "Paul")
		}
	}
	r := ranks(t, b, evidence.Dial)
	for _, j := range r.Judges {
		if j.Name == "Paul" && (!j.Drifts || j.Early != 1 || j.Late != 0 || j.N != 8) {
			t.Errorf("%+v; want him to drift from 1 to 0 of eight", j)
		}
	}
	if len(r.Judges) != 1 { // what he said both ways tells nothing of her
		t.Errorf("%+v; want him alone", r.Judges)
	}
}

// A watch is compared with an example seen elsewhere too; that one ranks once it was compared, is named in words on the
// file, and never stands where the judgement would have to be recorded.
func TestExamplesSeenElsewhereRankToo(t *testing.T) {
	b, ctx := shoptest.New(t), t.Context()
	one, two := b.Offered(t), b.Offered(t)
	var seen []shop.SeenExample
	for _, serial := range []string{"300100", "300200"} {
		e, err := b.Library.AddExample(ctx, library.Seen{SeenExample: shop.SeenExample{Maker: "Corvane", Reference: "KR-1",
			Serial: serial, Place: "fair", Source: "the spring fair",
			Parts: map[evidence.Slot]string{evidence.Dial: "dial-1-silver"}}}, "Ines")
		if err != nil {
			t.Fatal(err)
		}
		seen = append(seen, e)
	}
	if r := ranks(t, b, evidence.Dial); len(r.Ranked) != 2 || r.Own() != 2 {
		t.Errorf("examples that nobody compared rank: %+v", r.Ranked)
	}
	it := judge(t, b, one, "worse", shop.WatchID(seen[0].ID), "Ines")
	if c := it.Data.(*evidence.Comparison); c.Named != "seen Corvane KR-1 no. 300100 (the spring fair)" {
		t.Errorf("it is called %q", c.Named)
	}
	judge(t, b, two, "better", shop.WatchID(seen[1].ID), "Ines")
	r := ranks(t, b, evidence.Dial)
	if len(r.Ranked) != 4 || r.Own() != 2 || r.Next == nil || r.Next[0].Seen != nil {
		t.Fatalf("%+v, next %+v", r.Ranked, r.Next)
	}
	for i, x := range r.Ranked {
		if x.Watch.ID == one && i == 0 || x.Seen != nil && x.Seen.Serial == "300100" && x.Better < 1 {
			t.Errorf("the example that was better stands at %d, above %d", i, x.Better)
		}
	}
	o, err := b.Opinion(ctx, one, b.Now())
	if err != nil || o.Condition.Rank == nil || o.Condition.Rank.Of != 3 {
		t.Errorf("the opinion ranks it %+v, %v; want beside three others", o.Condition.Rank, err)
	}
}
