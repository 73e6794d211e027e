package staff

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/netip"
	"strings"
	"time"

	"midcase/internal/shop"
)

// Try is one try to sign in.
type Try struct {
	Name, Password string
	Code           string     // of an app, for those who have one
	Address        netip.Addr // from where
	Browser        string     // what Remember gave to the browser; empty for one that never signed in
	Again          bool       // by somebody who is in and shows that it is still them: no code is asked for
}

// ErrRefused is returned where name and password do not belong together.
var ErrRefused = errors.New("name and password do not belong together")

// Wait is returned where there were too many tries.
type Wait struct{ For time.Duration }

func (w *Wait) Error() string {
	return fmt.Sprintf("too many tries; try again in %d minutes", int(w.For.Minutes())+1)
}

// How many tries there are. A browser that has signed in under the name before is counted by itself, so
// that nobody who guesses elsewhere can keep its owner out. What a name has from everywhere is a limit
// against guessing from many addresses at once (NIST SP 800-63B allows at most 100; from memory).
const (
	triesPlace   = 5  // a name from one address
	triesBrowser = 10 // a name from a browser that is known
	triesAddress = 30 // all names from one address
	triesName    = 50 // a name from everywhere
	countShort   = 15 * time.Minute
	countLong    = time.Hour
)

// limits are what a try counts under. Names are kept as hashes, since people type a password into the
// wrong field.
func (t Try) limits(known bool) []shop.TryLimit {
	name, place := normal(t.Name), network(t.Address)
	if known {
		return []shop.TryLimit{{Key: tryKey("browser", name, t.Browser), Most: triesBrowser, Within: countShort}}
	}
	return []shop.TryLimit{
		{Key: tryKey("place", name, place), Most: triesPlace, Within: countShort},
		{Key: tryKey("address", place), Most: triesAddress, Within: countShort},
		{Key: tryKey("name", name), Most: triesName, Within: countLong},
	}
}

func tryKey(kind string, parts ...string) string {
	sum := sha256.Sum256([]byte(kind + "\n" + strings.Join(parts, "\n")))
	return kind + ":" + hex.EncodeToString(sum[:16])
}

// network is what one guesser has at least: an IPv4 address, or the network that a line gets of IPv6.
func network(a netip.Addr) string {
	if a = a.Unmap(); a.Is6() {
		if p, err := a.WithZone("").Prefix(64); err == nil {
			return p.String()
		}
	}
	return a.String()
}

// Admit returns the person to whom name and password belong. The try is counted before the password is
// looked at, so that of tries at once no more are judged than one after the other. It takes as long for
// a name that the shop does not know. It errs with ErrRefused, ErrCodeWanted, *Wait or ErrBusy.
func (r *Room) Admit(ctx context.Context, t Try) (Person, error) {
	people, err := r.People(ctx)
	if err != nil {
		return Person{}, err
	}
	p, there := Known(people, t.Name)
	known := there && t.Browser != "" && p.Remembers(t.Browser)
	id, limits := rand.Text(), t.limits(known)
	wait, err := r.takeTry(ctx, id, limits)
	if err != nil {
		return Person{}, err
	}
	if wait > 0 {
		return Person{}, &Wait{wait}
	}
	hash, lane := nobody(), r.hashing.strangers
	if there {
		hash = p.Hash
	}
	if known {
		lane = r.hashing.known
	}
	match, err := lane.matches(ctx, t.Password, hash)
	switch {
	case errors.Is(err, ErrBusy):
		return Person{}, errors.Join(err, r.forgetTries(ctx, id)) // it was not judged
	case err != nil:
		return Person{}, fmt.Errorf("password of %s: %w", p.Name, err)
	case !match || !there:
		return Person{}, errors.Join(ErrRefused, r.noteRefused(ctx, p.Name, t))
	}
	if t.Again {
		return p, r.forgetTries(ctx, id, limits[0].Key)
	}
	if err := r.checkCode(ctx, p.Name, t.Code); err != nil {
		if errors.Is(err, ErrRefused) {
			err = errors.Join(err, r.noteRefused(ctx, p.Name, t))
		}
		return Person{}, err // the try stays counted
	}
	return p, r.forgetTries(ctx, id, limits[0].Key)
}

// noteRefused records a wrong password. A name that the shop does not know is not written down.
func (r *Room) noteRefused(ctx context.Context, name string, t Try) error {
	return r.Note(ctx, shop.SignIn{Name: name, Address: t.Address.Unmap().String(), What: "refused"})
}

// Remember is what a browser keeps by which it is known to have signed in as a person. It ends when the
// person's sessions end.
func (p Person) Remember() string {
	id := rand.Text()
	return id + "." + p.browserMark(id)
}

// Remembers reports whether a browser has what Remember gave.
func (p Person) Remembers(browser string) bool {
	id, mark, _ := strings.Cut(browser, ".")
	return hmac.Equal([]byte(mark), []byte(p.browserMark(id)))
}

func (p Person) browserMark(id string) string {
	m := hmac.New(sha256.New, []byte(p.Mark()))
	m.Write([]byte("browser\n" + id))
	return hex.EncodeToString(m.Sum(nil))
}

// Note adds to the record of the door.
func (r *Room) Note(ctx context.Context, in shop.SignIn) error {
	in.At = r.shop.Now()
	err := r.doors.NoteSignIn(ctx, in)
	if errors.Is(err, shop.ErrDiskFull) {
		return nil // whoever comes in may read
	}
	return err
}

// NoteForbidden records that somebody asked for what their role does not allow; the same no more than once an hour, so
// that a page which asks again and again does not fill the record.
func (r *Room) NoteForbidden(ctx context.Context, name, asked string, from netip.Addr) error {
	once := []shop.TryLimit{{Key: tryKey("forbidden", name, asked), Most: 1, Within: countLong}}
	if wait, err := r.takeTry(ctx, rand.Text(), once); err != nil || wait > 0 {
		return err
	}
	return r.Note(ctx, shop.SignIn{Name: name, Address: from.Unmap().String(), What: "not allowed: " + asked})
}

// changed notes a change of a person, and who made it.
func (r *Room) changed(ctx context.Context, name, what string) error {
	return r.Note(ctx, shop.SignIn{Name: name, By: shop.User(ctx), What: what})
}

// SignIns are the last things that happened at the door, the latest first.
func (r *Room) SignIns(ctx context.Context, last int) ([]shop.SignIn, error) {
	return r.doors.SignIns(ctx, last)
}
