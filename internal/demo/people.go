package demo

import (
	"context"
	"fmt"

	"midcase/internal/shop/rights"
	"midcase/internal/shop/rooms"
)

// Owner is who owns the demo shop.
const Owner = owner

// Password is that of all people of the demo shop.
const Password = "four words for everybody"

// People are those of the demo shop, one of each role.
var People = map[string]rights.Role{
	owner: rights.Owner, "Brenn Astley-Korr": rights.Specialist, "Tove Marrinck": rights.Sales,
	"Ulla Fenster": rights.Bookkeeper, "Pim Oosterveen": rights.Viewer,
}

// FillPeople adds the people who are not there yet, the owner first.
func FillPeople(ctx context.Context, s *rooms.Shop) error {
	have, err := s.Staff.People(ctx)
	if err != nil {
		return err
	}
	there := map[string]bool{}
	for _, p := range have {
		there[p.Name] = true
	}
	for _, role := range rights.Roles() {
		for name, r := range People {
			if r != role || there[name] {
				continue
			}
			if err := s.Staff.Add(ctx, name, Password, role); err != nil {
				return fmt.Errorf("people of the demo: %w", err)
			}
		}
	}
	return nil
}
