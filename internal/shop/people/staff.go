package people

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"

	"midcase/evidence"
	"midcase/internal/shop"
)

// Person may sign in to the shop. What they record carries their name.
type Person struct {
	Name  string    `json:"name"`
	Hash  string    `json:"hash"` // of the password, Argon2id (RFC 9106)
	Since time.Time `json:"since"`
}

const peopleName, peopleWhat = "people", "people of the shop"

// leastPassword is the fewest characters of a password. Nothing else is asked of it:
// length is what counts (NIST SP 800-63B; from memory).
const leastPassword = 12

// hashing follows the second recommended option of RFC 9106, section 4: 64 MiB, three
// passes.
var hashing = argon2id.Params{Memory: 64 << 10, Iterations: 3, Parallelism: 2, SaltLength: 16, KeyLength: 32}

// admitting lets one password be worked on at a time, since each takes 64 MiB.
var admitting sync.Mutex

// People lists those who may sign in, by name. Where there is nobody, the shop is open
// to whoever reaches it.
func (r *Room) Staff(ctx context.Context) ([]Person, error) {
	var out []Person
	_, err := r.shop.ReadSetting(ctx, peopleName, peopleWhat, &out)
	return out, err
}

// SetPassword lets a person sign in with a password, or changes it.
func (r *Room) SetPassword(ctx context.Context, name, password string) error {
	name = strings.TrimSpace(name)
	if name == "" || utf8.RuneCountInString(name) > 80 {
		return &shop.Invalid{What: "person", Problems: evidence.Problems{{Field: "name", Found: fmt.Sprintf("%q", name),
			Want: "a name of 1 to 80 characters"}}}
	}
	if n := utf8.RuneCountInString(password); n < leastPassword || n > 1000 {
		return &shop.Invalid{What: "person", Problems: evidence.Problems{{Field: "password",
			Found: fmt.Sprintf("%d characters", n), Want: fmt.Sprintf("at least %d, such as four words",
				leastPassword)}}}
	}
	admitting.Lock()
	hash, err := argon2id.CreateHash(password, &hashing)
	admitting.Unlock()
	if err != nil {
		return fmt.Errorf("password: %w", err)
	}
	var people []Person
	return r.shop.ChangeSetting(ctx, peopleName, peopleWhat, &people, func() error {
		if i := personAt(people, name); i >= 0 {
			people[i].Hash = hash
			return nil
		}
		people = append(people, Person{Name: name, Hash: hash, Since: r.shop.Now().UTC()})
		slices.SortFunc(people, func(a, b Person) int { return strings.Compare(a.Name, b.Name) })
		return nil
	})
}

// RemovePerson ends a person's right to sign in. What they recorded stays.
func (r *Room) RemovePerson(ctx context.Context, name string) error {
	var people []Person
	return r.shop.ChangeSetting(ctx, peopleName, peopleWhat, &people, func() error {
		i := personAt(people, name)
		if i < 0 {
			return fmt.Errorf("person %q: %w", name, shop.ErrNotFound)
		}
		people = slices.Delete(people, i, i+1)
		return nil
	})
}

// Admit says whether name and password belong together, and the name as it was given
// to the shop. It takes as long for a name that the shop does not know.
func (r *Room) Admit(ctx context.Context, name, password string) (string, bool, error) {
	people, err := r.Staff(ctx)
	if err != nil {
		return "", false, err
	}
	p := Person{Hash: nobody()}
	i := personAt(people, name)
	if i >= 0 {
		p = people[i]
	}
	admitting.Lock()
	defer admitting.Unlock()
	match, err := argon2id.ComparePasswordAndHash(password, p.Hash)
	if err != nil {
		return "", false, fmt.Errorf("password of %s: %w", p.Name, err)
	}
	return p.Name, match && i >= 0, nil
}

// nobody is a hash that belongs to no person.
var nobody = sync.OnceValue(func() string {
	hash, err := argon2id.CreateHash("nobody", &hashing)
	if err != nil {
		return "" // no randomness; refused when compared
	}
	return hash
})

func personAt(people []Person, name string) int {
	name = strings.TrimSpace(name)
	return slices.IndexFunc(people, func(p Person) bool { return strings.EqualFold(p.Name, name) })
}
