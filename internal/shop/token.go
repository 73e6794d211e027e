package shop

import (
	"context"
	"crypto/rand"
	"errors"
	"sync/atomic"
	"time"
)

// ErrDone is what a store returns where the token of a request was used by another one.
var ErrDone = errors.New("done already by a form that was sent before")

// FormStore keeps the tokens of forms. A token is taken in the transaction of the first thing that a
// request records (see WithToken), and forgotten after some weeks.
type FormStore interface {
	// FormAnswer reports whether a request with the token has recorded anything, and the address that
	// its answer led to; empty where it has not answered.
	FormAnswer(ctx context.Context, token string) (led string, done bool, err error)
	// AnswerForm notes where the answer led to.
	AnswerForm(ctx context.Context, token, led string) error
}

// Token marks all that one request records, so that a form that is sent twice is recorded once.
type Token struct {
	ID      string    // the same each time that the form is sent
	Request string    // another one for each sending
	At      time.Time // when it was sent

	taken atomic.Bool
}

// NewToken returns the token of a form that was sent.
func NewToken(id string, at time.Time) *Token {
	return &Token{ID: id, Request: rand.Text(), At: at}
}

type tokenKey struct{}

// WithToken returns a context in which nothing is recorded that another request with the token has
// recorded: the store returns ErrDone. With nil, what is recorded takes no token.
func WithToken(ctx context.Context, t *Token) context.Context {
	return context.WithValue(ctx, tokenKey{}, t)
}

// TokenOf is the token of a context that has not been taken yet, else nil.
func TokenOf(ctx context.Context) *Token {
	if t, _ := ctx.Value(tokenKey{}).(*Token); t != nil && !t.taken.Load() {
		return t
	}
	return nil
}

// Take notes that the token was kept with what the request recorded.
func (t *Token) Take() { t.taken.Store(true) }

// Taken reports whether the request has recorded anything.
func (t *Token) Taken() bool { return t.taken.Load() }

// FormAnswer is FormStore's.
func (s *Shop) FormAnswer(ctx context.Context, token string) (led string, done bool, err error) {
	return s.stores.Forms.FormAnswer(ctx, token)
}

// AnswerForm is FormStore's.
func (s *Shop) AnswerForm(ctx context.Context, token, led string) error {
	return s.stores.Forms.AnswerForm(ctx, token, led)
}
