package staff

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
)

// Token lets a program in as a person, for some of what the person may do.
type Token struct {
	ID         string // the hash of what the program knows
	Name       string
	Rights     []rights.Right
	Made, Used time.Time
	Until      time.Time
}

// tokenKind and tokenPrefix tell a token from other ways in, and in a file where it should not be.
const (
	tokenKind   = "token"
	tokenPrefix = "midcase_"
	mostDays    = 366
)

// tokenData is what is kept with a token.
type tokenData struct {
	Rights []rights.Right `json:"rights"`
	Until  time.Time      `json:"until"`
}

// AddToken makes a token of a person for so many days and returns it. Only its hash is kept, so it is shown this once.
func (r *Room) AddToken(ctx context.Context, person, name string, may []rights.Right, days int) (string, error) {
	name = strings.TrimSpace(name)
	switch {
	case name == "" || len(name) > 2*longestName:
		return "", &shop.Invalid{What: "token", Problems: oneProblem("name", name, "a name, such as web site")}
	case days < 1 || days > mostDays:
		return "", &shop.Invalid{What: "token", Problems: oneProblem("days", fmt.Sprint(days),
			fmt.Sprintf("1 to %d days", mostDays))}
	case len(may) == 0:
		return "", &shop.Invalid{What: "token", Problems: oneProblem("rights", "none", "at least one right")}
	}
	p, err := r.named(ctx, person)
	if err != nil {
		return "", err
	}
	for _, right := range may {
		if !slices.Contains(rights.Rights(), right) || !p.Role.May(right) {
			return "", &shop.Invalid{What: "token",
				Problems: oneProblem("rights", string(right), "a right of your own")}
		}
	}
	now := r.shop.Now().UTC()
	data, err := json.Marshal(tokenData{may, now.AddDate(0, 0, days)})
	if err != nil {
		return "", err
	}
	secret := tokenPrefix + rand.Text()
	c := shop.Credential{ID: tokenHash(secret), Person: p.Name, Kind: tokenKind, Name: name,
		Data: string(data), Made: now}
	if err := r.doors.KeepCredential(ctx, c); err != nil {
		return "", err
	}
	return secret, r.changed(ctx, p.Name, "token made: "+name)
}

func tokenHash(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}

// named is the person of a name.
func (r *Room) named(ctx context.Context, name string) (Person, error) {
	people, err := r.People(ctx)
	if err != nil {
		return Person{}, err
	}
	p, ok := Known(people, name)
	if !ok {
		return Person{}, fmt.Errorf("person %q: %w", name, shop.ErrNotFound)
	}
	return p, nil
}

// Tokens are those of a person, the oldest first.
func (r *Room) Tokens(ctx context.Context, person string) ([]Token, error) {
	all, err := r.doors.Credentials(ctx, person)
	var out []Token
	for _, c := range all {
		if c.Kind != tokenKind {
			continue
		}
		var d tokenData
		if err := json.Unmarshal([]byte(c.Data), &d); err != nil {
			return nil, fmt.Errorf("token %s: %w", c.Name, err)
		}
		out = append(out, Token{ID: c.ID, Name: c.Name, Rights: d.Rights, Made: c.Made, Used: c.Used, Until: d.Until})
	}
	return out, err
}

// DropToken ends a token of a person.
func (r *Room) DropToken(ctx context.Context, person, id string) error {
	if id == "" {
		return fmt.Errorf("token: %w", shop.ErrNotFound)
	}
	if err := r.doors.DropCredentials(ctx, person, id); err != nil {
		return err
	}
	return r.changed(ctx, person, "token removed")
}

// usedAgain is how often the use of a token is noted.
const usedAgain = time.Hour

// Bearer returns the person of a token and what it may do; ErrRefused for none that is known, or one that has ended.
func (r *Room) Bearer(ctx context.Context, secret string) (Person, []rights.Right, error) {
	c, err := r.doors.Credential(ctx, tokenHash(secret))
	if errors.Is(err, shop.ErrNotFound) || err == nil && c.Kind != tokenKind {
		return Person{}, nil, ErrRefused
	}
	if err != nil {
		return Person{}, nil, err
	}
	var d tokenData
	if err := json.Unmarshal([]byte(c.Data), &d); err != nil {
		return Person{}, nil, fmt.Errorf("token %s: %w", c.Name, err)
	}
	now := r.shop.Now()
	p, err := r.named(ctx, c.Person)
	if errors.Is(err, shop.ErrNotFound) || err == nil && !now.Before(d.Until) {
		return Person{}, nil, ErrRefused
	}
	if err == nil && now.Sub(c.Used) > usedAgain {
		c.Used = now.UTC()
		if err = r.doors.KeepCredential(ctx, c); errors.Is(err, shop.ErrDiskFull) {
			err = nil
		}
	}
	return p, d.Rights, err
}
