package people_test

import (
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/shoptest"
)

func TestClients(t *testing.T) {
	b := shoptest.New(t)
	_, err := b.People.Add(t.Context(), shop.Client{Name: " "})
	shoptest.Refused(t, err, "name")
	c, err := b.People.Add(t.Context(), shop.Client{Name: "Tomas Arkwell"})
	if err != nil || c.ID == "" {
		t.Fatalf("%+v, %v", c, err)
	}
	if all, err := b.People.All(t.Context()); err != nil || len(all) != 1 {
		t.Errorf("%d clients, %v", len(all), err)
	}
}
