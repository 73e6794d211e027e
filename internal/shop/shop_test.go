package shop_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/gif"
	"image/jpeg"
	"io"
	"io/fs"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/blobs"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/store"
	"midcase/money"
	"midcase/opinion"
	"midcase/refbook"
)

// counter makes ids that follow each other.
type counter struct{ n atomic.Int64 }

func (c *counter) id(prefix string) string { return fmt.Sprintf("%s_%04d", prefix, c.n.Add(1)) }

// clock is a clock that tests set.
type clock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *clock) Now() time.Time { c.mu.Lock(); defer c.mu.Unlock(); return c.now }
func (c *clock) set(t time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = t
}

var morning = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

var book = sync.OnceValues(func() (*refbook.Book, error) { return refbook.Load(demo.Book()) })

// bench is a shop on a real store in a folder of its own.
type bench struct {
	*shop.Shop
	store *store.Store
	clock *clock
	blobs string
}

func newBench(t testing.TB) *bench {
	t.Helper()
	dir := t.TempDir()
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, "shop.db"))
	if err != nil {
		t.Fatal(err)
	}
	bl, err := blobs.Dir(filepath.Join(dir, "blobs"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { bl.Close(); st.Close() })
	b, err := book()
	if err != nil {
		t.Fatal(err)
	}
	c, ids := &clock{now: morning}, &counter{}
	s, err := shop.New(shop.Stores{Watches: st, Sales: st, Clients: st, Opinions: st, Settings: st, Blobs: bl}, b, shop.Options{Now: c.Now, NewID: ids.id, Name: "The Bench"})
	if err != nil {
		t.Fatal(err)
	}
	return &bench{s, st, c, filepath.Join(dir, "blobs")}
}

func (b *bench) takeIn(t testing.TB, in shop.Intake) shop.Watch {
	t.Helper()
	w, err := b.TakeIn(t.Context(), in, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func (b *bench) record(t testing.TB, id shop.WatchID, data ...evidence.Data) []evidence.Item {
	t.Helper()
	items, err := b.Record(t.Context(), id, "Ines", data...)
	if err != nil {
		t.Fatal(err)
	}
	return items
}

// blobFiles counts the files in the blob folder.
func (b *bench) blobFiles(t testing.TB) int {
	t.Helper()
	n := 0
	err := filepath.WalkDir(b.blobs, func(_ string, d fs.DirEntry, err error) error {
		if err == nil && d.Type().IsRegular() {
			n++
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func (b *bench) logLength(t testing.TB, id shop.WatchID) int {
	t.Helper()
	log, err := b.Log(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	return len(log.Evidence)
}

// wantInvalid checks that an input was refused for a field, with what was found and
// what would be right.
func wantInvalid(t *testing.T, err error, field string) {
	t.Helper()
	var invalid *shop.Invalid
	if !errors.As(err, &invalid) {
		t.Fatalf("error %v; want it refused for %s", err, field)
	}
	for _, p := range invalid.Problems {
		if p.Field == field && p.Found != "" && p.Want != "" {
			return
		}
	}
	t.Errorf("%v; want the field %s named", err, field)
}

func TestTakeIn(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, shop.Intake{Maker: " corvane ", Reference: "4410", Serial: " 414459 ", Asked: money.MustParse("6500", "EUR")})
	if w.Number != 1 || w.Version != 1 || w.State != shop.Offered || w.Maker != "Corvane" || w.Serial != "414459" || w.Title != "Corvane 4410 Meridant, engraved bezel" || !w.Created.Equal(morning) {
		t.Errorf("%+v", w)
	}
	log, err := b.Log(t.Context(), w.ID)
	if err != nil || len(log.Evidence) != 2 {
		t.Fatalf("%d items, %v; want the serial number and the claim of the price", len(log.Evidence), err)
	}
	mark, isMark := log.Evidence[0].Data.(*evidence.Mark)
	claim, isClaim := log.Evidence[1].Data.(*evidence.Claim)
	if !isMark || mark.What != evidence.MarkSerial || mark.Text != "414459" || !isClaim || claim.Price.Amount() != "6500.00" || log.Evidence[0].By != "Ines" {
		t.Errorf("%+v, %+v", log.Evidence[0], log.Evidence[1])
	}
	if found, err := b.Find(t.Context(), "#1"); err != nil || found.ID != w.ID {
		t.Errorf("#1: %v, %v", found.ID, err)
	}
	if found, err := b.Find(t.Context(), "414459"); err != nil || found.ID != w.ID {
		t.Errorf("by serial number: %v, %v", found.ID, err)
	}
	if _, err := b.Find(t.Context(), "77"); !errors.Is(err, shop.ErrNotFound) || strings.Count(err.Error(), "77") != 1 {
		t.Errorf("no such watch: %v", err)
	}
}

func TestTakeInRefuses(t *testing.T) {
	b := newBench(t)
	for field, in := range map[string]shop.Intake{"maker": {Reference: "4410"}, "reference": {Maker: "Corvane", Reference: "  "}} {
		_, err := b.TakeIn(t.Context(), in, "Ines")
		wantInvalid(t, err, field)
	}
	_, err := b.TakeIn(t.Context(), shop.Intake{Maker: "Corvane", Reference: "4410", Serial: "1"}, " ")
	wantInvalid(t, err, "by")
	if all, err := b.Watches(t.Context(), shop.Filter{}); err != nil || len(all) != 0 {
		t.Errorf("%d watches after refusals, %v", len(all), err)
	}
}

// Record keeps all or none.
func TestRecordIsWhole(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4410"})
	good := func() evidence.Data { return &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 2} }
	for name, c := range map[string]struct {
		bad   evidence.Data
		field string
	}{
		"term not in the list":      {&evidence.Finding{Slot: evidence.Dial, Term: "sploding", Severity: 2}, "term"},
		"term not of this part":     {&evidence.Finding{Slot: evidence.Dial, Term: "stretch", Severity: 2}, "term"},
		"severity beyond 4":         {&evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 5}, "severity"},
		"no such part":              {&evidence.Fitted{Slot: "elbow", Variant: "x"}, "slot"},
		"negative weight":           {&evidence.Weighing{What: "bracelet", In: "air", G: -5}, "g"},
		"withdrawal of nothing":     {&evidence.Withdrawal{Of: "ev_nope", Reason: "x"}, "of"},
		"withdrawal without reason": {&evidence.Withdrawal{Of: "ev_nope"}, "reason"},
	} {
		_, err := b.Record(t.Context(), w.ID, "Ines", good(), c.bad, good())
		wantInvalid(t, err, c.field)
		if n := b.logLength(t, w.ID); n != 0 {
			t.Fatalf("%s: %d items were kept of a refused set", name, n)
		}
	}
	if _, err := b.Record(t.Context(), "w_none", "Ines", good()); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("no such watch: %v", err)
	}
	items := b.record(t, w.ID, good(), good())
	if len(items) != 2 || items[0].ID == items[1].ID || !items[0].At.Equal(morning) || b.logLength(t, w.ID) != 2 {
		t.Errorf("%+v", items)
	}
}

func TestWithdraw(t *testing.T) {
	b := newBench(t)
	w, other := b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4410"}), b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4412"})
	item := b.record(t, w.ID, &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 2})[0]
	// An item of another watch is none of this one.
	_, err := b.Withdraw(t.Context(), other.ID, item.ID, "mistake", "Ines")
	wantInvalid(t, err, "of")
	if _, err := b.Withdraw(t.Context(), w.ID, item.ID, "a speck on the crystal", "Ines"); err != nil {
		t.Fatal(err)
	}
	log, err := b.Log(t.Context(), w.ID)
	if err != nil {
		t.Fatal(err)
	}
	file := evidence.Fold(log, morning.Add(time.Hour))
	if len(log.Evidence) != 2 || len(file.Items) != 0 || len(file.Withdrawn) != 1 {
		t.Errorf("%d items, %d in force, %d withdrawn", len(log.Evidence), len(file.Items), len(file.Withdrawn))
	}
}

func jpegOf(t testing.TB, w, h int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, w, h)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestAddPhoto(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4410"})
	good := jpegOf(t, 300, 200)
	it, err := b.AddPhoto(t.Context(), w.ID, "dial", "by daylight", bytes.NewReader(good), "Ines")
	if err != nil {
		t.Fatal(err)
	}
	p := it.Data.(*evidence.Photo)
	if p.WidthPx != 300 || p.HeightPx != 200 || p.MediaType != "image/jpeg" || p.View != "dial" || p.Caption != "by daylight" {
		t.Errorf("%+v", p)
	}
	if got, err := b.Picture(t.Context(), p.Blob); err != nil || !bytes.Equal(got, good) {
		t.Errorf("the picture came back as %d bytes, %v", len(got), err)
	}
	if _, err := b.Picture(t.Context(), strings.Repeat("0", 64)); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("no such picture: %v", err)
	}
}

func TestAddPhotoRefuses(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4410"})
	var moving bytes.Buffer
	if err := gif.Encode(&moving, image.NewGray(image.Rect(0, 0, 9, 9)), nil); err != nil {
		t.Fatal(err)
	}
	good := jpegOf(t, 300, 200)
	huge := bytes.Clone(good)
	copy(huge[bytes.Index(huge, []byte{0xff, 0xc0})+5:], []byte{0xff, 0xff, 0xff, 0xff})
	for name, c := range map[string]struct {
		b           []byte
		view, field string
	}{
		"empty": {nil, "dial", "picture"}, "cut short": {good[:len(good)/2], "dial", "picture"}, "huge": {huge, "dial", "picture"},
		"GIF": {moving.Bytes(), "dial", "picture"}, "text": {[]byte("not a picture"), "dial", "picture"}, "unknown view": {good, "elbow", "view"},
	} {
		_, err := b.AddPhoto(t.Context(), w.ID, c.view, "", bytes.NewReader(c.b), "Ines")
		wantInvalid(t, err, c.field)
		if strings.Count(err.Error(), "want") != 1 && c.field == "picture" {
			t.Errorf("%s: said twice: %v", name, err)
		}
		if n, files := b.logLength(t, w.ID), b.blobFiles(t); n != 0 || files != 0 {
			t.Errorf("%s: %d items and %d files were kept", name, n, files)
		}
	}
	if _, err := b.AddPhoto(t.Context(), "w_none", "dial", "", bytes.NewReader(good), "Ines"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("no such watch: %v", err)
	} else if files := b.blobFiles(t); files != 0 {
		t.Errorf("no such watch: %d files were kept", files)
	}
	if _, err := b.AddPhoto(t.Context(), w.ID, "dial", "", failing{}, "Ines"); err == nil || b.logLength(t, w.ID) != 0 {
		t.Errorf("a reader that fails: %v", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, errors.New("the line went dead") }

// salesFile is a small market: n sales of one reference, a quarter apart, rising.
func salesFile(n int) string {
	var s strings.Builder
	s.WriteString("date,maker,reference,price,currency,venue,basis\n")
	for i := range n {
		day := time.Date(2018, 1, 5, 0, 0, 0, 0, time.UTC).AddDate(0, i, 0)
		fmt.Fprintf(&s, "%s,Corvane,4410,%d,EUR,dealer,sold\n", day.Format(time.DateOnly), 5000+20*i+137*(i%5))
	}
	return s.String()
}

func (b *bench) importSales(t testing.TB, file string) shop.ImportReport {
	t.Helper()
	r, err := b.ImportSales(t.Context(), strings.NewReader(file), "sales.csv")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestImportSales(t *testing.T) {
	b := newBench(t)
	file := salesFile(10) + "2020-01-01,Corvane,4410,0,EUR,dealer,sold\n2020-01-01,Corvane,4410,5,EUR\n"
	r := b.importSales(t, file)
	if r.Read != 12 || r.Added != 10 || r.Known != 0 || len(r.Rejected) != 2 || r.Rejected[0].Line != 12 || r.Rejected[1].Line != 13 {
		t.Errorf("%+v", r)
	}
	if r := b.importSales(t, file); r.Added != 0 || r.Known != 10 {
		t.Errorf("the second time: %+v", r)
	}
	if _, err := b.ImportSales(t.Context(), strings.NewReader("no,sales\n1,2\n"), "list.csv"); err == nil || !strings.Contains(err.Error(), "list.csv") {
		t.Errorf("no sales file: %v", err)
	}
	if _, err := b.ImportSales(t.Context(), io.MultiReader(strings.NewReader(salesFile(40)), failing{}), "sales.csv"); err == nil {
		t.Error("a file that cannot be read to its end was taken")
	}
	if n, err := b.SaleCount(t.Context()); err != nil || n != 10 {
		t.Errorf("%d sales, %v", n, err)
	}
}

// A fit stands for a day and a number of sales: asked again it is the same one, with
// a new sale it is another, and as of an earlier day it knows only earlier sales.
func TestMarketIsFittedWhenNeeded(t *testing.T) {
	b := newBench(t)
	market := func(asOf time.Time) any {
		t.Helper()
		m, err := b.Market(t.Context(), asOf)
		if err != nil {
			t.Fatal(err)
		}
		if m == nil {
			return nil
		}
		return m
	}
	if market(morning) != nil {
		t.Error("a market without sales")
	}
	b.importSales(t, salesFile(40))
	first := market(morning)
	if market(morning.Add(3*time.Hour)) != first {
		t.Error("fitted twice on one day")
	}
	if market(morning.AddDate(0, 0, -40)) == first {
		t.Error("one fit for two days")
	}
	b.importSales(t, salesFile(40)+"2021-06-06,Corvane,4412,7000,EUR,dealer,sold\n")
	if market(morning) == first {
		t.Error("a new sale did not count")
	}
	early, err := b.Market(t.Context(), time.Date(2019, 12, 31, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	if e := early.Explain(); e.Sales != 24 || e.To != "2019-Q4" {
		t.Errorf("as of the end of 2019 it counts %d sales up to %s; want the 24 until 2019-Q4", e.Sales, e.To)
	}
	second := market(morning)
	if err := b.SetSettings(t.Context(), shop.Settings{Basis: "trade", Currency: "EUR"}); err != nil {
		t.Fatal(err)
	}
	if market(morning) == second {
		t.Error("new settings, among them the rates, left the old fit in use")
	}
}

func TestSettings(t *testing.T) {
	b := newBench(t)
	s, err := b.Settings(t.Context())
	if err != nil || s.Basis != "retail" || s.Currency != "EUR" || s.Payout != 1 || s.Terms != opinion.CommonTerms() {
		t.Errorf("common settings: %+v, %v", s, err)
	}
	s.Basis, s.Currency = "trade", "CHF"
	s.Spots = []opinion.SpotPrice{{Element: "gold", PerTroyOunce: money.MustParse("2500", "CHF"), Date: "2026-03-01"}}
	if err := b.SetSettings(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	w := b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4418-18"})
	o, err := b.Opinion(t.Context(), w.ID, morning)
	if err != nil {
		t.Fatal(err)
	}
	if o.Value.Kind != "trade" || o.Value.Currency != "CHF" || o.Metal.MeltFloor == nil || string(o.Metal.MeltFloor.Currency()) != "CHF" {
		t.Errorf("the opinion is not on the shop's terms: %s %s, %v", o.Value.Kind, o.Value.Currency, o.Metal.MeltFloor)
	}
	// What is given for one opinion takes the place of the shop's own.
	o, _, err = b.OpinionOn(t.Context(), w.ID, morning, opinion.Settings{Basis: "insurance", Currency: "EUR"})
	if err != nil || o.Value.Kind != "insurance" || o.Value.Currency != "EUR" {
		t.Errorf("given settings: %s %s, %v", o.Value.Kind, o.Value.Currency, err)
	}
	if err := b.store.SetSetting(t.Context(), "settings", "{"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Settings(t.Context()); err == nil || !strings.Contains(err.Error(), "damaged") {
		t.Errorf("damaged settings: %v", err)
	}
}

// Three examples of a reference, compared in pairs, are ranked; the watch that is
// better than both stands first.
func TestComparisonsRank(t *testing.T) {
	b := newBench(t)
	var w [3]shop.Watch
	for i := range w {
		w[i] = b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4410"})
	}
	b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4412"}) // another reference, of no concern
	for range 4 {
		b.record(t, w[0].ID, &evidence.Comparison{Slot: evidence.Case, Other: string(w[1].ID), Result: "better"}, &evidence.Comparison{Slot: evidence.Case, Other: string(w[2].ID), Result: "better"})
		b.record(t, w[1].ID, &evidence.Comparison{Slot: evidence.Case, Other: string(w[2].ID), Result: "better"})
	}
	o, err := b.Opinion(t.Context(), w[0].ID, morning)
	if err != nil {
		t.Fatal(err)
	}
	r := o.Condition.Rank
	if r == nil || r.Better != 2 || r.Of != 2 || r.P <= 0.5 {
		t.Errorf("rank %+v; want better than both others", r)
	}
	if o, err = b.Opinion(t.Context(), w[1].ID, morning); err != nil || o.Condition.Rank == nil || o.Condition.Rank.Better != 1 {
		t.Errorf("the second: %+v, %v", o.Condition.Rank, err)
	}
	// As of the day before nothing had been compared.
	if o, err = b.Opinion(t.Context(), w[0].ID, morning.AddDate(0, 0, -1)); err != nil || o.Condition.Rank != nil {
		t.Errorf("as of the day before: %+v, %v", o.Condition.Rank, err)
	}
}

func TestBriefsFollowTheEvidence(t *testing.T) {
	b := newBench(t)
	b.importSales(t, salesFile(40))
	w := b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4410", Serial: "414459"})
	brief := func() shop.Brief {
		t.Helper()
		all, err := b.Briefs(t.Context(), shop.Filter{})
		if err != nil || len(all) != 1 {
			t.Fatalf("%d briefs, %v", len(all), err)
		}
		return all[0]
	}
	before := brief()
	if before.Problem != "" || before.Made == "" || before.Median == nil || before.Low >= before.High || len(before.Troubles) != 0 {
		t.Errorf("%+v", before)
	}
	b.record(t, w.ID, &evidence.Fitted{Slot: evidence.Movement, Variant: "C-46"})
	if after := brief(); len(after.Troubles) == 0 {
		t.Errorf("a calibre that the reference never had is no trouble: %+v", after)
	}
	low := before.Low
	b.importSales(t, salesFile(40)+strings.ReplaceAll(salesFile(40), ",EUR,dealer,", ",EUR,private,"))
	if after := brief(); after.Low == low {
		t.Error("new sales did not change the brief")
	}
	changed := brief().Watch
	changed.Place = "safe 2"
	if _, err := b.Change(t.Context(), changed); err != nil {
		t.Fatal(err)
	}
	if after := brief(); after.Watch.Place != "safe 2" {
		t.Errorf("the brief shows the old record: %+v", after.Watch)
	}
	if _, err := b.Change(t.Context(), changed); !errors.Is(err, shop.ErrConflict) {
		t.Errorf("a stale record was written: %v", err)
	}
}

func TestOpinionsAreKept(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4410", Serial: "414459"})
	o, err := b.Opinion(t.Context(), w.ID, morning)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Keep(t.Context(), w.ID, o, 1); err != nil {
		t.Fatal(err)
	}
	b.clock.set(morning.AddDate(0, 0, 3))
	b.record(t, w.ID, &evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack, Text: "II 68"})
	later, err := b.Opinion(t.Context(), w.ID, b.Now())
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Keep(t.Context(), w.ID, later, 2); err != nil {
		t.Fatal(err)
	}
	kept, err := b.Opinions(t.Context(), w.ID)
	if err != nil || len(kept) != 2 || kept[0].AsOf != "2026-03-05" || kept[1].AsOf != "2026-03-02" {
		t.Fatalf("%+v, %v", kept, err)
	}
	var was opinion.Opinion
	if err := json.Unmarshal(kept[1].JSON, &was); err != nil || was.Dating.Median != o.Dating.Median {
		t.Errorf("kept as %v, %v; formed as %v", was.Dating.Median, err, o.Dating.Median)
	}
	// The opinion as of the first day is what it was, whatever was learnt since.
	again, err := b.Opinion(t.Context(), w.ID, morning)
	if err != nil {
		t.Fatal(err)
	}
	x, _ := json.Marshal(o)
	y, _ := json.Marshal(again)
	if !bytes.Equal(x, y) {
		t.Error("the opinion as of the first day has changed")
	}
}

func TestClients(t *testing.T) {
	b := newBench(t)
	_, err := b.AddClient(t.Context(), shop.Client{Name: " "})
	wantInvalid(t, err, "name")
	c, err := b.AddClient(t.Context(), shop.Client{Name: "Tomas Arkwell"})
	if err != nil || c.ID == "" {
		t.Fatalf("%+v, %v", c, err)
	}
	if all, err := b.Clients(t.Context()); err != nil || len(all) != 1 {
		t.Errorf("%d clients, %v", len(all), err)
	}
}

func TestAdopt(t *testing.T) {
	b := newBench(t)
	w := b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4410"})
	item := func(id string, at time.Time, g float64) evidence.Item {
		return evidence.Item{ID: evidence.ID(id), At: at, By: "Tomas", Data: &evidence.Weighing{What: "bracelet", In: "air", G: g}}
	}
	var invalid *shop.Invalid
	if err := b.Adopt(t.Context(), w.ID, item("ev_a", morning, 50), item("ev_b", morning, -1)); !errors.As(err, &invalid) || b.logLength(t, w.ID) != 0 {
		t.Errorf("a bad item among good ones: %v, %d kept", err, b.logLength(t, w.ID))
	}
	if err := b.Adopt(t.Context(), w.ID, item("ev_a", morning.AddDate(0, 0, 9), 50)); !errors.As(err, &invalid) {
		t.Errorf("an item of the future: %v", err)
	}
	if err := b.Adopt(t.Context(), w.ID, item("ev_a", morning, 50)); err != nil {
		t.Fatal(err)
	}
	if err := b.Adopt(t.Context(), w.ID, item("ev_b", morning, 50), item("ev_a", morning, 50)); !errors.Is(err, shop.ErrExists) || b.logLength(t, w.ID) != 1 {
		t.Errorf("an id for the second time: %v, %d kept", err, b.logLength(t, w.ID))
	}
}

// Many hands at once: every item goes in once, every reader sees whole files, and the
// log holds. Run with -race to mean anything.
func TestTogether(t *testing.T) {
	b := newBench(t)
	b.importSales(t, salesFile(30))
	w := b.takeIn(t, shop.Intake{Maker: "Corvane", Reference: "4410", Serial: "414459"})
	const hands, each = 4, 6
	var wg sync.WaitGroup
	fail := make(chan error, 4*hands*each)
	do := func(f func(ctx context.Context, i int) error) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range each {
				if err := f(context.WithoutCancel(t.Context()), i); err != nil {
					fail <- err
					return
				}
			}
		}()
	}
	for h := range hands {
		do(func(ctx context.Context, i int) error {
			_, err := b.Record(ctx, w.ID, fmt.Sprint("hand ", h), &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 1 + i%3})
			return err
		})
	}
	do(func(ctx context.Context, i int) error {
		_, err := b.Opinion(ctx, w.ID, morning.AddDate(0, 0, i%2))
		return err
	})
	do(func(ctx context.Context, i int) error { _, err := b.Briefs(ctx, shop.Filter{}); return err })
	do(func(ctx context.Context, i int) error {
		_, err := b.ImportSales(ctx, strings.NewReader(salesFile(30+i)), "sales.csv")
		return err
	})
	do(func(ctx context.Context, i int) error {
		_, err := b.TakeIn(ctx, shop.Intake{Maker: "Corvane", Reference: "4412"}, "Ines")
		return err
	})
	wg.Wait()
	close(fail)
	for err := range fail {
		t.Error(err)
	}
	if n := b.logLength(t, w.ID); n != 1+hands*each {
		t.Errorf("%d items, want %d", n, 1+hands*each)
	}
	if n, err := b.SaleCount(t.Context()); err != nil || n != 30+each-1 {
		t.Errorf("%d sales, %v", n, err)
	}
	all, err := b.Watches(t.Context(), shop.Filter{})
	if err != nil || len(all) != 1+each {
		t.Fatalf("%d watches, %v", len(all), err)
	}
	for i, x := range all {
		if x.Number != i+1 {
			t.Errorf("file number %d at place %d", x.Number, i+1)
		}
	}
	if err := b.store.Verify(t.Context()); err != nil {
		t.Error(err)
	}
}

func TestNewNeedsClockAndIDs(t *testing.T) {
	if _, err := shop.New(shop.Stores{}, nil, shop.Options{}); err == nil {
		t.Error("a shop without a clock was opened")
	}
}
