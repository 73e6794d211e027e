package shop_test

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/shoptest"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/market"
)

// killed is a store whose program is killed as soon as it has kept sales.
type killed struct{ *store.Store }

func (k killed) AddSales(ctx context.Context, sales []market.Sale, at time.Time) (int, error) {
	n, err := k.Store.AddSales(ctx, sales, at)
	if err == nil {
		_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
		select {} // until it is
	}
	return n, err
}

const killedIn = "MIDCASE_TEST_KILLED_IN"

// An import is whole or did not happen: where its sales are there, so is when they came, by which papers
// that were made before are marked.
func TestAnImportIsWholeWhereTheProgramIsKilled(t *testing.T) {
	if dir := os.Getenv(killedIn); dir != "" {
		importAndDie(t, dir)
		return
	}
	dir := t.TempDir()
	child := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$")
	child.Env = append(os.Environ(), killedIn+"="+dir)
	out, err := child.CombinedOutput()
	var exit *exec.ExitError
	if !errors.As(err, &exit) || exit.Sys().(syscall.WaitStatus).Signal() != syscall.SIGKILL {
		t.Fatalf("the import ended with %v; want it killed: %s", err, out)
	}
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, "midcase.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	n, err := st.SaleCount(t.Context())
	if err != nil || n != 10 {
		t.Errorf("%d sales, %v; want 10", n, err)
	}
	if at, err := st.SalesImported(t.Context()); err != nil || !at.Equal(shoptest.Morning) {
		t.Errorf("imported at %s, %v; want %s", at, err, shoptest.Morning)
	}
}

func importAndDie(t *testing.T, dir string) {
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, "midcase.db"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := rooms.Open(t.Context(), shop.On(killed{st}, &storetest.Memory{}, bookdir.Fixed(demo.Book())),
		shop.Options{Now: func() time.Time { return shoptest.Morning }, NewID: func(p string) string { return p + "_1" }})
	if err != nil {
		t.Fatal(err)
	}
	if _, err = s.ImportSales(t.Context(), strings.NewReader(salesFile(10)), "sales.csv"); err != nil {
		t.Error(err)
	}
	t.Error("the import was answered; want the program dead")
}
