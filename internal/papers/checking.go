package papers

import (
	"context"
	"fmt"
	"net/url"
	"strings"

	"midcase/internal/proof"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
)

// HeadOf is the head of the log that a paper was made from.
func HeadOf(p shop.Paper) proof.Head { return proof.Head{Size: p.LogSize, Root: p.LogRoot} }

// checkedAt is what the square code of a paper says: the address at which it is checked, where the shop has one, else
// number and head in words.
func checkedAt(l shop.Letterhead, number string, p shop.Paper) string {
	if p.LogRoot == "" {
		return ""
	}
	head := HeadOf(p).String()
	if l.CheckedAt == "" {
		return "midcase paper " + number + " head " + head
	}
	return strings.TrimSuffix(l.CheckedAt, "/") + "/verify/" + url.PathEscape(number) + "?head=" + url.QueryEscape(head)
}

// Issued finds the paper of a number and head, for somebody who holds it. Who has only its number is told nothing.
func Issued(ctx context.Context, s *rooms.Shop, number, head string) (shop.Paper, error) {
	all, err := s.Stores().Papers.Papers(ctx, shop.PaperFilter{Holding: `"number":"` + number + `"`})
	if err != nil {
		return shop.Paper{}, fmt.Errorf("check a paper: %w", err)
	}
	for _, p := range all {
		if p.Number == number && p.LogRoot != "" && HeadOf(p).String() == head {
			return p, nil
		}
	}
	return shop.Paper{}, fmt.Errorf("paper %s with that head: %w", number, shop.ErrNotFound)
}

// IssuedAs finds the paper of which a file with a SHA-256 is one, to the byte.
func IssuedAs(ctx context.Context, s *rooms.Shop, sum string) (shop.Paper, error) {
	all, err := s.Stores().Papers.Papers(ctx, shop.PaperFilter{Holding: sum})
	if err != nil {
		return shop.Paper{}, fmt.Errorf("check a paper: %w", err)
	}
	for _, p := range all {
		for _, f := range p.Files {
			if f.SHA256 == sum {
				return p, nil
			}
		}
	}
	return shop.Paper{}, fmt.Errorf("a paper with these bytes: %w", shop.ErrNotFound)
}

// NewerSince is how many items of evidence were recorded on a paper's watch after it was made.
func NewerSince(ctx context.Context, s *rooms.Shop, p shop.Paper) (int, error) {
	log, err := s.Log(ctx, p.Watch)
	if err != nil {
		return 0, fmt.Errorf("check paper %s: %w", p.Number, err)
	}
	then, err := s.Proves(ctx, p.Watch, p.LogSize)
	if err != nil {
		return 0, fmt.Errorf("check paper %s: %w", p.Number, err)
	}
	return len(log.Evidence) - len(then), nil
}

// TakenBackBy is the number of the paper that took this one back; empty where it stands.
func TakenBackBy(ctx context.Context, s *rooms.Shop, p shop.Paper) (string, error) {
	all, err := s.Stores().Papers.Papers(ctx, shop.PaperFilter{Watch: p.Watch})
	if err != nil {
		return "", fmt.Errorf("check paper %s: %w", p.Number, err)
	}
	for _, other := range all {
		if other.Cancels == p.Number {
			return other.Number, nil
		}
	}
	return "", nil
}
