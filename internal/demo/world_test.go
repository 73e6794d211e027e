package demo

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"midcase/condition"
	"midcase/edtf"
	"midcase/evidence"
	"midcase/market"
)

// world is made once: it is never changed.
var world = sync.OnceValue(func() *World { return NewWorld(1) })

// digest is a hash over everything in the world but the pictures and sounds.
func digest(t *testing.T, w *World) string {
	t.Helper()
	h := sha256.New()
	for _, f := range []func(*bytes.Buffer) error{
		func(b *bytes.Buffer) error { return w.WriteSales(b) },
		func(b *bytes.Buffer) error { return w.WriteRates(b) },
		func(b *bytes.Buffer) error { return w.WriteMetals(b) },
		func(b *bytes.Buffer) error { return json.NewEncoder(b).Encode(w.Clients) },
		func(b *bytes.Buffer) error { return json.NewEncoder(b).Encode(w.Truth) },
		func(b *bytes.Buffer) error { return json.NewEncoder(b).Encode(w.Watches) },
	} {
		var b bytes.Buffer
		if err := f(&b); err != nil {
			t.Fatal(err)
		}
		h.Write(b.Bytes())
	}
	return fmt.Sprintf("%x", h.Sum(nil))
}

func TestSameSeedSameBytes(t *testing.T) {
	a, b, c := digest(t, world()), digest(t, NewWorld(1)), digest(t, NewWorld(2))
	if a != b {
		t.Error("two worlds of one seed differ")
	}
	if a == c {
		t.Error("worlds of two seeds are the same")
	}
}

func TestCounts(t *testing.T) {
	w := world()
	references, families, first, last := 0, 0, math.MaxInt, 0
	for _, m := range w.book.Makers {
		references += len(m.References)
		families += len(m.Families)
		for _, r := range m.References {
			a, b := spanOf(&r)
			first, last = min(first, a.Year()), max(last, b.Year())
		}
	}
	if got := fmt.Sprint(len(w.book.Makers), references, families, first, last); got != "6 41 12 1935 1995" {
		t.Errorf("makers, references, families, first and last year: %s", got)
	}
	if len(w.Sales) != 12000 || len(w.Watches) != 60 || len(w.Clients) != 25 || len(w.Truth) != 60 {
		t.Errorf("%d sales, %d watches, %d clients, %d truths", len(w.Sales), len(w.Watches),
			len(w.Clients), len(w.Truth))
	}
	harmed := 0
	for _, x := range w.Truth {
		if len(x.Problems) > 0 {
			harmed++
		}
	}
	if harmed != 14 {
		t.Errorf("%d watches with planted problems, want 14", harmed)
	}
}

func TestWatchFilesAreValid(t *testing.T) {
	ids := map[evidence.ID]bool{}
	for _, x := range world().Watches {
		b, err := x.JSON()
		if err != nil {
			t.Fatal(err)
		}
		w, err := evidence.ReadWatch(bytes.NewReader(b), x.File, today)
		if err != nil {
			t.Error(err)
			continue
		}
		if len(w.Evidence) < 30 {
			t.Errorf("%s: only %d items", x.File, len(w.Evidence))
		}
		for _, it := range w.Evidence {
			if ids[it.ID] {
				t.Errorf("%s: id %s twice in the world", x.File, it.ID)
			}
			ids[it.ID] = true
			if f, ok := it.Data.(*evidence.Finding); ok {
				term, known := condition.Lookup(f.Term)
				if !known || !term.Fits(string(f.Slot)) {
					t.Errorf("%s: %s: term %q is not one for the slot %s", x.File, it.ID, f.Term, f.Slot)
				}
			}
		}
	}
}

// Every kind of evidence that a shop comes by occurs somewhere.
func TestEvidenceIsRich(t *testing.T) {
	kinds := map[evidence.Kind]int{}
	for _, x := range world().Watches {
		for _, it := range x.Evidence.Evidence {
			kinds[it.Kind()]++
		}
	}
	for _, k := range evidence.Kinds() {
		if k == evidence.KindCorrection || k == evidence.KindRedacted { // made by what a shop does to a file
			continue
		}
		if kinds[k] == 0 {
			t.Errorf("no item of kind %s", k)
		}
	}
}

func TestSalesFileReads(t *testing.T) {
	w := world()
	var b bytes.Buffer
	if err := w.WriteSales(&b); err != nil {
		t.Fatal(err)
	}
	table, bad, err := market.ReadCSV(&b, "sales.csv", market.ReadOptions{Now: today})
	if err != nil {
		t.Fatal(err)
	}
	if table.Len() != len(w.Sales)-plantedTotal(PlantedDuplicate) {
		t.Errorf("%d rows read of %d", table.Len(), len(w.Sales))
	}
	for _, e := range bad {
		if row := w.Sales[e.Line-2]; row.Planted != PlantedDuplicate || !e.Duplicate() {
			t.Errorf("%v (planted: %q)", e, row.Planted)
		}
	}
	b.Reset()
	if err := w.WriteRates(&b); err != nil {
		t.Fatal(err)
	}
	if _, err := market.ReadRates(&b); err != nil {
		t.Error(err)
	}
}

func TestPlantedSales(t *testing.T) {
	got := map[Planted]int{}
	for _, r := range world().Sales {
		got[r.Planted]++
		if r.Planted == PlantedForeignCash && r.Currency == "EUR" {
			t.Errorf("%s %s is in EUR", r.Date, r.Reference)
		}
	}
	for _, p := range plantedCount {
		if got[p.what] != p.n {
			t.Errorf("%d rows with %s, want %d", got[p.what], p.what, p.n)
		}
	}
}

// The recorded prices scatter about the true medians by t with 4 degrees of freedom:
// the middle lies at the median, half lie within 0.741 scales, 90 % within 2.132
// (quantiles of Student's t, any table of statistics).
func TestPricesFollowTheTruth(t *testing.T) {
	n, above, half, most := 0, 0, 0, 0
	byID := map[string]string{}
	for _, m := range world().book.Makers {
		byID[m.Name] = m.ID
	}
	for _, r := range world().Sales {
		if r.Planted != "" {
			continue
		}
		var price float64
		if _, err := fmt.Sscan(r.Price, &price); err != nil {
			t.Fatal(err)
		}
		z := math.Log(price/r.TrueMedian) / referenceMarket[byID[r.Maker]+" "+r.Reference].scale()
		n++
		if z > 0 {
			above++
		}
		if math.Abs(z) < 0.741 {
			half++
		}
		if math.Abs(z) < 2.132 {
			most++
		}
	}
	share := func(k int) float64 { return float64(k) / float64(n) }
	if a, h, m := share(above), share(half), share(most); math.Abs(a-0.5) > 0.02 || math.Abs(h-0.5) > 0.02 ||
		math.Abs(m-0.9) > 0.012 {
		t.Errorf("above the median %.3f, within 0.741 scales %.3f, within 2.132 scales %.3f", a, h, m)
	}
}

func TestPremiumAboutTriples(t *testing.T) {
	w := world()
	low, high := 1.0, 0.0
	for y := 1998; y < 2020; y++ {
		for q := 1; q <= 4; q++ {
			p := w.TruePremium(Quarter{y, q})
			low, high = math.Min(low, p), math.Max(high, p)
		}
	}
	if low < 0.2 || high > 0.27 {
		t.Errorf("before 2020 the premium runs from %.3f to %.3f", low, high)
	}
	if k := w.TruePremium(Quarter{2023, 1}) / w.TruePremium(Quarter{2019, 4}); k < 2.6 || k > 3.4 {
		t.Errorf("by 2023 it has grown %.2f times", k)
	}
}

// Within a metal the references' own effects sum to nil: the premium is what it says.
func TestReferenceEffectsSumToNil(t *testing.T) {
	sum := map[string]float64{}
	ranks := map[int]bool{}
	for _, m := range world().book.Makers {
		for _, r := range m.References {
			k, ok := referenceMarket[m.ID+" "+r.ID]
			if !ok {
				t.Errorf("%s %s has no place in the market", m.ID, r.ID)
			}
			if ranks[k.rank] {
				t.Errorf("%s %s: rank %d is taken", m.ID, r.ID, k.rank)
			}
			ranks[k.rank] = true
			sum[r.Metal] += k.effect
		}
	}
	for metal, s := range sum {
		if math.Abs(s) > 1e-9 {
			t.Errorf("%s: the effects sum to %.3f", metal, s)
		}
	}
}

func TestNothingInTheSalesIsPriceless(t *testing.T) {
	for _, r := range world().Sales {
		if !(r.TrueMedian > 100 && r.TrueMedian < 200_000) {
			t.Errorf("%s %s: true median %.0f", r.Date, r.Reference, r.TrueMedian)
		}
	}
}

func TestQuarters(t *testing.T) {
	q, err := ParseQuarter("2015-Q3")
	if err != nil || q != (Quarter{2015, 3}) || q != QuarterOf(today.AddDate(-11, -2, 0)) {
		t.Errorf("%v %v", q, err)
	}
	for _, bad := range []string{"", "2015", "2015-Q5", "2015-q1", "15-Q1", "2015-Q1x"} {
		if _, err := ParseQuarter(bad); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

func TestClients(t *testing.T) {
	w := world()
	names := map[string]bool{}
	for _, m := range w.book.Makers {
		names[m.Name] = true
	}
	for _, c := range w.Clients {
		if !strings.HasSuffix(c.Email, ".example") || !strings.HasPrefix(c.Phone, "+44 1632 960") {
			t.Errorf("%s: %s, %s: want an address under .example and a number of the range kept free for fiction", c.ID,
				c.Email, c.Phone)
		}
		if len(c.Wants) == 0 {
			t.Errorf("%s wants nothing", c.ID)
		}
		for _, want := range c.Wants {
			if want.Maker != "" && !names[want.Maker] {
				t.Errorf("%s wants a watch by %q, who is not in the book", c.ID, want.Maker)
			}
			if want.Reference != "" {
				if _, _, ok := w.book.Reference(want.Maker, want.Reference); !ok {
					t.Errorf("%s wants %s %s", c.ID, want.Maker, want.Reference)
				}
			}
		}
	}
}

func TestTruthIsWithinTheSpan(t *testing.T) {
	w := world()
	for _, x := range w.Watches {
		_, ref, ok := w.book.Reference(x.Evidence.Maker, x.Evidence.Reference)
		if !ok {
			t.Fatalf("%s is not in the book", x.File)
		}
		first, last := spanOf(ref)
		truth := w.Truth[x.File]
		if truth.Made < first || truth.Made > last || truth.Made == edtf.Month(0) {
			t.Errorf("%s: made %s, the reference %s", x.File, truth.Made, ref.Made)
		}
		if truth.PriceMedian < 500 || truth.Condition < 1.5 || truth.Condition > 9.7 || truth.Originality < 0.3 ||
			truth.Originality > 1 {
			t.Errorf("%s: %+v", x.File, truth)
		}
	}
}

// Every photo and recording named in the evidence has a spec, and the file that it
// makes is one of its kind and the same each time.
func TestPicturesAndSounds(t *testing.T) {
	for _, x := range world().Watches {
		specs := map[evidence.ID]string{}
		for _, p := range x.Photos {
			specs[p.Item] = p.File
		}
		for _, p := range x.Sounds {
			specs[p.Item] = p.File
		}
		for _, it := range x.Evidence.Evidence {
			switch d := it.Data.(type) {
			case *evidence.Photo:
				if specs[it.ID] != d.Blob {
					t.Errorf("%s: %s names %q, the spec %q", x.File, it.ID, d.Blob, specs[it.ID])
				}
			case *evidence.Recording:
				if specs[it.ID] != d.Blob {
					t.Errorf("%s: %s names %q, the spec %q", x.File, it.ID, d.Blob, specs[it.ID])
				}
			}
		}
	}
	photo := world().Watches[0].Photos[0]
	photo.Shot.WidthPx, photo.Shot.HeightPx = 160, 160
	for _, f := range []struct {
		make  func() ([]byte, error)
		begin string
	}{{photo.Draw, "\xff\xd8\xff"}, {world().Watches[0].Sounds[0].Make, "RIFF"}} {
		a, err := f.make()
		b, err2 := f.make()
		if err != nil || err2 != nil || !bytes.Equal(a, b) || !strings.HasPrefix(string(a), f.begin) {
			t.Errorf("%.4q…: %d and %d bytes, %v, %v", f.begin, len(a), len(b), err, err2)
		}
	}
}

func TestWritePlainFailsWhole(t *testing.T) {
	boom := errors.New("no paper left")
	dir := t.TempDir()
	calls := 0
	err := runAll([]file{
		{filepath.Join(dir, "a"), func() ([]byte, error) { return []byte("a"), nil }},
		{filepath.Join(dir, "b"), func() ([]byte, error) { return nil, boom }},
	}, func(done, total int) { calls++ })
	if !errors.Is(err, boom) {
		t.Errorf("error %v", err)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.part")); len(left) > 0 {
		t.Errorf("half-written files left: %v", left)
	}
	if _, err := os.Stat(filepath.Join(dir, "b")); err == nil {
		t.Error("a file that could not be made is there")
	}
}
