package backup

import (
	"encoding/hex"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"midcase/internal/check"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/store"
)

// Backups that earlier programs made, named after the version of their tables, are restored by this one, and stock,
// clients, ledger and papers are in them as they were. The folders were made by the script testdata/make.
func TestOlderBackupsAreRestored(t *testing.T) {
	t.Parallel()
	kept, err := filepath.Glob("testdata/tables-*")
	if err != nil || len(kept) < 2 {
		t.Fatalf("kept backups %v, error %v; want two or more", kept, err)
	}
	for _, dir := range kept {
		t.Run(filepath.Base(dir), func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(filepath.Join(dir, "client.key"))
			if err != nil {
				t.Fatal(err)
			}
			key, err := hex.DecodeString(strings.TrimSpace(string(text)))
			if err != nil {
				t.Fatal(err)
			}
			r := restoring(filepath.Join(t.TempDir(), "shop"))
			r.ClientKey = func(string) ([]byte, error) { return key, nil }
			got, err := Restore(t.Context(), folder(dir), r)
			if err != nil {
				t.Fatal(err)
			}
			if len(got.Findings) > 0 || len(got.Missing) > 0 {
				t.Errorf("restored with findings %v, missing %v", got.Findings, got.Missing)
			}
			st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(r.Into, "midcase.db"), store.WithClientKey(key))
			if err != nil {
				t.Fatal(err)
			}
			defer st.Close()
			soldWatch(t, st)
		})
	}
}

// soldWatch holds the shop that testdata/make makes: a watch bought, listed and sold with its invoice.
func soldWatch(t *testing.T, st *store.Store) {
	t.Helper()
	ctx := t.Context()
	w, err := st.FindWatch(ctx, "414999")
	if err != nil {
		t.Fatal(err)
	}
	if w.Number != 1 || w.State != shop.Sold || w.Asking.String() != "2200.00 EUR" {
		t.Errorf("watch no. %d is %s, asked %s; want no. 1, sold, 2200.00 EUR", w.Number, w.State, w.Asking)
	}
	items, err := st.Evidence(ctx, w.ID)
	if err != nil || len(items) != 3 {
		t.Errorf("%d items of evidence, %v; want 3", len(items), err)
	}
	clients, err := st.Clients(ctx)
	if err != nil || len(clients) != 2 || clients[0].Name != "Bruno Vale" || clients[1].Email != "selma@mail.example" {
		t.Errorf("clients %+v, %v", clients, err)
	}
	books := ledger.NewBooks("EUR")
	for e, err := range st.Entries(ctx, shop.EntryFilter{}) {
		if err != nil {
			t.Fatal(err)
		}
		if err := books.Post(e); err != nil {
			t.Fatal(err)
		}
	}
	balances, err := books.Balances()
	if err != nil {
		t.Fatal(err)
	}
	// 10,000 of capital, less 1,500 paid, and 2,000 received.
	if !slices.ContainsFunc(balances, func(b ledger.Balance) bool {
		return b.Account == "assets:bank" && b.Amount.String() == "10500.00 EUR"
	}) {
		t.Errorf("balances %+v; want 10500.00 EUR in the bank", balances)
	}
	papers, err := st.Papers(ctx, shop.PaperFilter{})
	if err != nil || len(papers) != 1 || papers[0].Number != "2026-0001" {
		t.Fatalf("papers %+v, %v; want invoice 2026-0001", papers, err)
	}
	if _, says, err := st.Paper(ctx, papers[0].ID); err != nil || !strings.Contains(says, "Bruno Vale") {
		t.Errorf("the invoice does not name its buyer: %v", err)
	}
	if found, err := check.All(ctx, check.Parts{Store: st, Sealed: false}); err != nil || len(found) > 0 {
		t.Errorf("check found %v, %v", found, err)
	}
}
