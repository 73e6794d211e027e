package people_test

import (
	"errors"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/shoptest"
)

const fourWords = "copper lantern quiet harbour"

func TestStaffSignIn(t *testing.T) {
	t.Parallel()
	b, ctx := shoptest.New(t), t.Context()
	for _, name := range []string{" Odo ", "Ines"} {
		if err := b.People.SetPassword(ctx, name, fourWords); err != nil {
			t.Fatal(err)
		}
	}
	all, err := b.People.Staff(ctx)
	if err != nil || len(all) != 2 || all[0].Name != "Ines" || all[1].Name != "Odo" ||
		!all[0].Since.Equal(shoptest.Morning) {
		t.Fatalf("staff: %+v, %v", all, err)
	}
	for _, c := range []struct {
		name, password, want string
		ok                   bool
	}{
		{"ines", fourWords, "Ines", true}, {"Ines", fourWords + "!", "Ines", false}, {"Nobody", fourWords, "", false},
	} {
		if name, ok, err := b.People.Admit(ctx, c.name, c.password); err != nil || name != c.want || ok != c.ok {
			t.Errorf("%s with %q: %q, %t, %v; want %q, %t", c.name, c.password, name, ok, err, c.want, c.ok)
		}
	}
	if err := b.People.SetPassword(ctx, "ODO", "another four words here"); err != nil {
		t.Fatal(err)
	}
	if _, ok, err := b.People.Admit(ctx, "Odo", fourWords); ok || err != nil {
		t.Errorf("the old password: %t, %v", ok, err)
	}
	shoptest.Refused(t, b.People.SetPassword(ctx, "Ines", "short"), "password")
	shoptest.Refused(t, b.People.SetPassword(ctx, "  ", fourWords), "name")
	if err := b.People.RemovePerson(ctx, "odo"); err != nil {
		t.Fatal(err)
	}
	if err := b.People.RemovePerson(ctx, "odo"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("removed twice: %v", err)
	}
	if _, ok, err := b.People.Admit(ctx, "Odo", "another four words here"); ok || err != nil {
		t.Errorf("after removal: %t, %v", ok, err)
	}
}
