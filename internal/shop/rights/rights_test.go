package rights_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"midcase/internal/shop/rights"
)

func TestTheTableIsWhole(t *testing.T) {
	for _, right := range rights.Rights() {
		who := rights.Who(right)
		if !slices.Contains(who, rights.Owner) {
			t.Errorf("an owner may not %s", right)
		}
		for _, r := range who {
			if !r.Is() {
				t.Errorf("%s: %q is no role", right, r)
			}
		}
	}
}

// What each role must never see or do, cost, clients, ledger, settings, people.
func TestWhatRolesMayNot(t *testing.T) {
	for role, not := range map[rights.Role][]rights.Right{
		rights.Specialist: {rights.Clients, rights.Ledger, rights.Trade, rights.Settings, rights.People},
		rights.Sales:      {rights.Ledger, rights.Buy, rights.EditBook, rights.Settings, rights.People},
		rights.Bookkeeper: {rights.Clients, rights.Record, rights.Trade, rights.Settings, rights.People},
		rights.Viewer:     rights.Rights()[1:],
	} {
		for _, right := range not {
			err := rights.Check(rights.With(t.Context(), role), right)
			var denied *rights.Denied
			if !errors.As(err, &denied) || !strings.Contains(err.Error(), "owner") {
				t.Errorf("%s may %s: %v", role, right, err)
			}
		}
		if err := rights.Check(rights.With(t.Context(), role), rights.See); err != nil {
			t.Error(err)
		}
	}
	for _, right := range rights.Rights() {
		if err := rights.Check(t.Context(), right); err != nil {
			t.Errorf("the program itself: %v", err)
		}
		if rights.May(rights.With(t.Context(), "somebody"), right) {
			t.Errorf("a role that is none may %s", right)
		}
	}
}
