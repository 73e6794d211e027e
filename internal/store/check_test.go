package store

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"midcase/internal/shop"
)

// checked is a store with something in every table that a shop fills in a day.
func checked(t *testing.T, s *Store) {
	t.Helper()
	if err := s.UseClientKey(make([]byte, ClientKeyBytes)); err != nil {
		t.Fatal(err)
	}
	here := shopOn(t, s, t.TempDir(), "a")
	id := stocked(t, here)
	if _, err := here.ImportSales(t.Context(), strings.NewReader(sales("gold18", 9000)), "sales.csv"); err != nil {
		t.Fatal(err)
	}
	c, err := s.CreateClient(t.Context(), shop.Client{ID: "cl_1", Name: "Ada Brook", Created: day, Changed: day})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.LogAccess(t.Context(), shop.Access{At: day, By: "Ines", Client: c.ID, What: "seen"}); err != nil {
		t.Fatal(err)
	}
	if err := s.SetSetting(t.Context(), "basis", "trade"); err != nil {
		t.Fatal(err)
	}
	p := shop.Paper{ID: "pa_1", Kind: shop.PaperReport, Series: "R-2026", InSeries: 1, Number: "R-2026-0001", Watch: id}
	if p.LogSize, p.LogRoot, err = s.Head(t.Context()); err != nil {
		t.Fatal(err)
	}
	if _, err := s.KeepPaper(t.Context(), p, ""); err != nil {
		t.Fatal(err)
	}
	if err := s.KeepOpinion(t.Context(), shop.KeptOpinion{Watch: id, AsOf: "2026-01-01", Formed: day,
		JSON: []byte(`{"value":1}`)}); err != nil {
		t.Fatal(err)
	}
}

func findings(t *testing.T, s *Store) []Finding {
	t.Helper()
	out, err := s.Check(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestCheckFindsNothingInASoundStore(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		s := open(t)
		checked(t, s)
		if got := findings(t, s); len(got) > 0 {
			t.Errorf("a sound store: %v", got)
		}
		if got, err := s.CheckLight(t.Context()); err != nil || len(got) > 0 {
			t.Errorf("a light check: %v, %v", got, err)
		}
	})
}

// Each change made behind the program's back is found, and said to be where it is.
func TestCheckFindsWhatWasChanged(t *testing.T) {
	t.Parallel()
	for _, test := range []struct{ name, sql, what, says string }{
		{"a watch's record", `UPDATE watches SET doc = doc || ' '`, InWatch, "is not what its history says"},
		{"the history", `UPDATE history SET doc_after = doc_after || ' ' WHERE subject = 'watch' AND version = 1`, InWatch,
			""},
		{"a sale", `UPDATE sales SET amount = '1'`, InSale, "not what was written"},
		{"a sale taken away", `DELETE FROM sales`, InSale, "missing"},
		{"a movement", `UPDATE movements SET doc = '{}'`, InLedger, "not what was written"},
		{"an entry", `UPDATE entries SET doc = replace(doc, '1', '2')`, InLedger, "was changed"},
		{"a paper", `UPDATE papers SET number = 7`, InPaper, "not what was written"},
		{"a setting", `UPDATE settings SET value = value || 'x'`, InDatabase, "is not what its history says"},
		{"who looked", `UPDATE client_access SET actor = 'nobody'`, InDatabase, "client_access"},
		{"a kept opinion", `UPDATE opinions SET doc = '{"value":2}'`, InDatabase, "opinions"},
		{"an item", `UPDATE log SET item = replace(item, 'Ines', 'Anna') WHERE seq = 0`, InLog, "record 0"},
		{"the log's end", `DELETE FROM log WHERE seq = (SELECT MAX(seq) FROM log);
			DELETE FROM log_hashes WHERE n >= (SELECT MAX(n) FROM log_hashes)`, InHead, "R-2026-0001"},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
				s := open(t)
				checked(t, s)
				tamper(t, s, test.sql)
				for _, f := range findings(t, s) {
					if f.What == test.what && strings.Contains(f.Says, test.says) {
						return
					}
				}
				t.Errorf("%v; want a finding about %s that says %q", findings(t, s), test.what, test.says)
			})
		})
	}
}

// tamper runs statements with all triggers out of the way, as somebody else's program would.
func tamper(t *testing.T, s *Store, statements string) {
	t.Helper()
	ctx := t.Context()
	conn, err := s.write.Conn(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if s.dialect.name == postgres.name {
		statements = `SET session_replication_role = replica; ` + statements + `; SET session_replication_role = DEFAULT`
	}
	var triggers []string
	if s.dialect.name == sqlite.name {
		rows, err := conn.QueryContext(ctx, `SELECT name, sql FROM sqlite_master WHERE type = 'trigger'`)
		if err != nil {
			t.Fatal(err)
		}
		var drop string
		for rows.Next() {
			var name, text string
			if err := rows.Scan(&name, &text); err != nil {
				t.Fatal(err)
			}
			triggers = append(triggers, text)
			drop += fmt.Sprintf("DROP TRIGGER %s;", name)
		}
		rows.Close()
		statements = drop + statements
	}
	for _, q := range append([]string{statements}, triggers...) {
		if _, err := conn.ExecContext(ctx, q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
}

// TestBitFlips flips one bit at a time, anywhere in the file: the check finds each that changes anything
// that can be read. Those left are in space that nothing uses.
func TestBitFlips(t *testing.T) {
	t.Parallel()
	const flips = 60
	path := filepath.Join(t.TempDir(), "shop.db")
	s := openURL(t, path)
	checked(t, s)
	fill(t, s, 400) // so that pages are full, as in a shop
	if err := s.flush(t.Context()); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := everything(t, s)
	random := rand.New(rand.NewPCG(1, 2))
	found, idle := 0, 0
	for range flips {
		at, bit := random.IntN(len(whole)), byte(1)<<random.IntN(8)
		b := append([]byte(nil), whole...)
		b[at] ^= bit
		flipped := filepath.Join(t.TempDir(), "flipped.db")
		if err := os.WriteFile(flipped, b, 0o600); err != nil {
			t.Fatal(err)
		}
		c, err := OpenCopy(t.Context(), flipped)
		if err != nil {
			found++ // it cannot be opened, which says so
			continue
		}
		switch got := findings(t, c); {
		case len(got) > 0:
			found++
		case everything(t, c) == want:
			idle++
		default:
			t.Errorf("byte %d, bit %#x: something reads otherwise and nothing was found", at, bit)
		}
		if err := c.Close(); err != nil {
			t.Error(err)
		}
	}
	t.Logf("%d flips in %d bytes: %d found, %d in space that nothing uses", flips, len(whole), found, idle)
	if found < flips/3 {
		t.Errorf("only %d of %d flips were found: the file is mostly empty, or the check sees nothing", found, flips)
	}
}

// everything is all that can be read of a store, as text.
func everything(t *testing.T, s *Store) string {
	t.Helper()
	ctx := t.Context()
	var out strings.Builder
	schema, err := schemaOf(ctx, s.read)
	if err != nil {
		return err.Error()
	}
	fmt.Fprintln(&out, schema) // maps print by key
	tables, err := summedTables(ctx, s.dialect, s.read)
	if err != nil {
		return err.Error()
	}
	tables = append(tables, summed{name: "log", columns: []string{"seq", "watch", "id", "item"}, key: []string{"seq"}},
		summed{name: "log_hashes", columns: []string{"n", "hash"}, key: []string{"n"}},
		summed{name: "sums", columns: []string{"tbl", "id", "sum"}, key: []string{"tbl", "id"}})
	for _, table := range tables {
		rows, err := s.read.QueryContext(ctx, fmt.Sprintf(`SELECT %s FROM %s ORDER BY 1`, sqliteSum(table, ""), table.name))
		if err != nil {
			return err.Error()
		}
		for rows.Next() {
			var sum int64
			if err := rows.Scan(&sum); err != nil {
				return err.Error()
			}
			fmt.Fprintln(&out, table.name, sum)
		}
		rows.Close()
	}
	return out.String()
}
