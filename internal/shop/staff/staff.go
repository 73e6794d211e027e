package staff

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
)

// Person may sign in to the shop. What they record carries their name.
type Person struct {
	Name  string      `json:"name"`
	Role  rights.Role `json:"role,omitempty"` // owner where there is none: written before there were roles
	Hash  string      `json:"hash"`           // of the password, Argon2id (RFC 9106)
	Since time.Time   `json:"since"`
	Stamp string      `json:"stamp,omitempty"` // another one ends all sessions
}

// Mark changes with each change after which the person's sessions end: a password, a removal, being
// added again, signing out everywhere.
func (p Person) Mark() string {
	sum := sha256.Sum256([]byte(p.Hash + "\n" + p.Stamp))
	return hex.EncodeToString(sum[:])
}

const peopleName, peopleWhat = shop.PeopleName, "people of the shop"

// Room is what the shop knows of those who work in it. It is safe for concurrent use.
type Room struct {
	shop    *shop.Shop
	doors   shop.DoorStore
	hashing lanes
	spare   spareTries
}

// New opens the room of a shop. All callers share one, since it bounds how many passwords are worked on.
func New(s *shop.Shop) *Room {
	return &Room{shop: s, doors: s.Stores().Doors, hashing: newLanes()}
}

// People lists those who may sign in, by name.
func (r *Room) People(ctx context.Context) ([]Person, error) {
	var out []Person
	_, err := r.shop.ReadSetting(ctx, peopleName, peopleWhat, &out)
	for i := range out {
		if out[i].Role == "" {
			out[i].Role = rights.Owner
		}
	}
	return out, err
}

// Known returns the person of a name; ok is false where there is none.
func Known(people []Person, name string) (p Person, ok bool) {
	if i := at(people, name); i >= 0 {
		return people[i], true
	}
	return Person{}, false
}

// change has the list of people changed and written back.
func (r *Room) change(ctx context.Context, do func(people []Person) ([]Person, error)) error {
	var people []Person
	return r.shop.ChangeSetting(ctx, peopleName, peopleWhat, &people, func() (err error) {
		for i := range people {
			if people[i].Role == "" {
				people[i].Role = rights.Owner
			}
		}
		people, err = do(people)
		return err
	})
}

// changeOne has one person changed.
func (r *Room) changeOne(ctx context.Context, name string, do func(p *Person) error) error {
	return r.change(ctx, func(people []Person) ([]Person, error) {
		i := at(people, name)
		if i < 0 {
			return nil, fmt.Errorf("person %q: %w", name, shop.ErrNotFound)
		}
		return people, do(&people[i])
	})
}

// Add lets a person sign in with a password and gives them a role. Somebody who is there already gets
// the password and the role; without a role theirs stays, and the first person is an owner.
func (r *Room) Add(ctx context.Context, name, password string, role rights.Role) error {
	name, err := properName(name)
	if err != nil {
		return err
	}
	if role != "" && !role.Is() {
		return noRole(role)
	}
	hash, err := r.hash(ctx, name, password)
	if err != nil {
		return err
	}
	what := "added"
	err = r.change(ctx, func(people []Person) ([]Person, error) {
		if len(people) == 0 && role != "" && role != rights.Owner {
			return nil, &shop.Invalid{What: "person", Problems: oneProblem("role", string(role),
				"owner for the first person, who lets the others in")}
		}
		i := at(people, name)
		if i < 0 {
			if role == "" {
				role = rights.Viewer
			}
			if len(people) == 0 {
				role = rights.Owner
			}
			people = append(people, Person{Name: name, Since: r.shop.Now().UTC(), Role: role})
			i = len(people) - 1
		} else {
			what = "password changed"
			if err := keepsOwner(people, i, role); err != nil {
				return nil, err
			}
		}
		if role != "" {
			people[i].Role = role
		}
		people[i].Hash, people[i].Stamp = hash, rand.Text()
		slices.SortFunc(people, func(a, b Person) int { return strings.Compare(a.Name, b.Name) })
		return people, nil
	})
	if err != nil {
		return err
	}
	return r.changed(ctx, name, what)
}

// SetRole gives a person another role.
func (r *Room) SetRole(ctx context.Context, name string, role rights.Role) error {
	if !role.Is() {
		return noRole(role)
	}
	err := r.change(ctx, func(people []Person) ([]Person, error) {
		i := at(people, name)
		if i < 0 {
			return nil, fmt.Errorf("person %q: %w", name, shop.ErrNotFound)
		}
		if err := keepsOwner(people, i, role); err != nil {
			return nil, err
		}
		name, people[i].Role = people[i].Name, role
		return people, nil
	})
	if err != nil {
		return err
	}
	return r.changed(ctx, name, "now "+string(role))
}

// keepsOwner refuses that the last owner gets another role.
func keepsOwner(people []Person, i int, role rights.Role) error {
	if role == "" || role == rights.Owner || people[i].Role != rights.Owner || owners(people) > 1 {
		return nil
	}
	return &shop.Invalid{What: "person", Problems: oneProblem("role", string(role),
		"owner: "+people[i].Name+" is the only one; make somebody else an owner first")}
}

func owners(people []Person) (n int) {
	for _, p := range people {
		if p.Role == rights.Owner {
			n++
		}
	}
	return n
}

// Remove ends a person's right to sign in. What they recorded stays. The last person is not removed
// while the shop is served, since it would be open to whoever reaches it; the last owner is not while
// others are there.
func (r *Room) Remove(ctx context.Context, name string) error {
	if err := rights.Check(ctx, rights.People); err != nil {
		return err
	}
	served, err := r.doors.Served(ctx, r.shop.Now())
	if err != nil {
		return err
	}
	err = r.change(ctx, func(people []Person) ([]Person, error) {
		i := at(people, name)
		if i < 0 {
			return nil, fmt.Errorf("person %q: %w", name, shop.ErrNotFound)
		}
		name = people[i].Name
		if len(people) == 1 && served {
			return nil, &shop.Invalid{What: "person", Problems: oneProblem("name", name,
				"somebody else to be there first, or the shop not to be served: "+name+
					" is the last person, and nobody would be asked who they are")}
		}
		if len(people) > 1 && people[i].Role == rights.Owner && owners(people) == 1 {
			return nil, &shop.Invalid{What: "person", Problems: oneProblem("name", name,
				"another owner first: "+name+" is the only one")}
		}
		// Ways in go first: somebody new of this name must not find those of the old one.
		if err := r.doors.DropCredentials(ctx, name, ""); err != nil {
			return nil, err
		}
		return slices.Delete(people, i, i+1), nil
	})
	if err != nil {
		return err
	}
	return r.changed(ctx, name, "removed")
}

// SignOutEverywhere ends all sessions of a person.
func (r *Room) SignOutEverywhere(ctx context.Context, name string) error {
	return r.own(ctx, name, "signed out everywhere", func(p *Person) error {
		p.Stamp = rand.Text()
		return nil
	})
}

func noRole(r rights.Role) error {
	var all []string
	for _, role := range rights.Roles() {
		all = append(all, string(role))
	}
	return &shop.Invalid{What: "person", Problems: oneProblem("role", string(r), "one of "+strings.Join(all, ", "))}
}

// ChangePassword gives a person another password by their own wish; their role does not matter.
func (r *Room) ChangePassword(ctx context.Context, name, password string) error {
	hash, err := r.hash(ctx, name, password)
	if err != nil {
		return err
	}
	return r.own(ctx, name, "password changed", func(p *Person) error {
		p.Hash, p.Stamp = hash, rand.Text()
		return nil
	})
}

// own has something changed that everybody may change of themselves, and owners of others.
func (r *Room) own(ctx context.Context, name, what string, do func(p *Person) error) error {
	if normal(shop.User(ctx)) != normal(name) {
		if err := rights.Check(ctx, rights.People); err != nil {
			return err
		}
	}
	if err := r.changeOne(rights.With(ctx, ""), name, do); err != nil {
		return err
	}
	return r.changed(ctx, name, what)
}
