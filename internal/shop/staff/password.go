package staff

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/alexedwards/argon2id"
	"github.com/trustelem/zxcvbn"

	"midcase/evidence"
	"midcase/internal/shop"
)

// leastPassword is the fewest characters of a password. No kinds of characters are asked for: length counts, and
// that nobody guesses it early (NIST SP 800-63B, 5.1.1.2; from memory).
const leastPassword, longestPassword = 12, 1000

// fewestGuesses is how many tries a password must withstand, by the estimate of Wheeler, "zxcvbn: Low-Budget Password
// Strength Estimation", USENIX Security 2016, whose lists are of leaked passwords and of names and words. Its level
// "safely unguessable" begins here. It looks at no more than the first judged characters. leastBeside is how many
// characters there must be beside names that anybody knows.
const fewestGuesses, judged, leastBeside = 1e8, 100, 6

// hashing follows the second recommended option of RFC 9106, section 4: 64 MiB, three
// passes.
var hashing = argon2id.Params{Memory: 64 << 10, Iterations: 3, Parallelism: 2, SaltLength: 16, KeyLength: 32}

// ErrBusy is returned where more passwords wait to be worked on than is good.
var ErrBusy = errors.New("too many people sign in at once; try again in a few seconds")

// lanes bound how many passwords are worked on, since each takes 64 MiB, and how many wait. Browsers that
// have signed in before have a lane of their own, so that a flood of strangers does not keep them waiting.
type lanes struct{ known, strangers lane }

type lane struct{ work, queue chan struct{} }

func newLanes() lanes {
	const waiting = 8
	l := func() lane { return lane{make(chan struct{}, 1), make(chan struct{}, waiting)} }
	return lanes{l(), l()}
}

// run has one password of the lane worked on.
func (l lane) run(ctx context.Context, work func() error) error {
	select {
	case l.queue <- struct{}{}:
		defer func() { <-l.queue }()
	default:
		return ErrBusy
	}
	select {
	case l.work <- struct{}{}:
		defer func() { <-l.work }()
	case <-ctx.Done():
		return ctx.Err()
	}
	return work()
}

// refusePassword errs for a password that is too short, or among those that are tried first: leaked ones, rows of
// keys, words, and little else than the name of the person or of the shop.
func (r *Room) refusePassword(name, password string) error {
	if n := utf8.RuneCountInString(password); n < leastPassword || n > longestPassword {
		return &shop.Invalid{What: "person", Problems: oneProblem("password", fmt.Sprintf("%d characters", n),
			fmt.Sprintf("at least %d, such as four words", leastPassword))}
	}
	known := append(strings.Fields(strings.ToLower(name+" "+r.shop.Name())), "midcase", "watch", "owner", "dealer")
	start := []rune(password)
	start = start[:min(len(start), judged)]
	rest := strings.ToLower(password)
	for _, word := range known {
		if utf8.RuneCountInString(word) > 2 { // not the letters of “A & B Watches”
			rest = strings.ReplaceAll(rest, word, "")
		}
	}
	if zxcvbn.PasswordStrength(string(start), known).Guesses < fewestGuesses ||
		utf8.RuneCountInString(rest) < leastBeside {
		return &shop.Invalid{What: "person", Problems: oneProblem("password", "one that is guessed early",
			"one that nobody would try, such as four words that do not belong together")}
	}
	return nil
}

// hash is the hash of a new password of a person.
func (r *Room) hash(ctx context.Context, name, password string) (hash string, err error) {
	if err := r.refusePassword(name, password); err != nil {
		return "", err
	}
	err = r.hashing.known.run(ctx, func() error {
		hash, err = argon2id.CreateHash(password, &hashing)
		return err
	})
	if err != nil {
		return "", fmt.Errorf("password: %w", err)
	}
	return hash, nil
}

// matches says whether a password is that of a hash.
func (l lane) matches(ctx context.Context, password, hash string) (match bool, err error) {
	if len(password) > 4*longestPassword {
		return false, nil
	}
	err = l.run(ctx, func() error {
		match, err = argon2id.ComparePasswordAndHash(password, hash)
		return err
	})
	return match, err
}

// nobody is a hash that belongs to no person.
var nobody = sync.OnceValue(func() string {
	hash, err := argon2id.CreateHash("nobody", &hashing)
	if err != nil {
		return "" // no randomness; refused when compared
	}
	return hash
})

func oneProblem(field, found, want string) evidence.Problems {
	return evidence.Problems{{Field: field, Found: fmt.Sprintf("%.100q", found), Want: want}}
}
