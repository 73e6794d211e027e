package web

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/alexedwards/scs/v2/memstore"

	"midcase/internal/shop"
)

// The values of a session: the person's name, what changes when their sessions end, and when it was used last.
const sessionUser, sessionMark, sessionSeen = "user", "mark", "seen"

const (
	sessionLasts  = 30 * 24 * time.Hour
	sessionIdle   = 7 * 24 * time.Hour // unused for so long, it ends
	sessionSeenAt = 24 * time.Hour     // how often its use is noted
)

// newSessions keeps sessions in the store of the shop, by the hash of what the browser knows: a restart signs nobody
// out, and several servers share them.
func newSessions(s *site) *scs.SessionManager {
	m := scs.New()
	m.Store = &sessionStore{doors: s.shop.Stores().Doors, now: s.shop.Now, spare: memstore.NewWithCleanupInterval(0)}
	m.HashTokenInStore = true
	m.Lifetime = sessionLasts
	m.Cookie.Name = sessionCookie(s.opt)
	m.Cookie.SameSite = http.SameSiteLaxMode
	m.Cookie.HttpOnly = true
	m.Cookie.Secure = s.opt.TLS
	return m
}

// sessionCookie is the name of the cookie. It has the port in it, since a browser sends cookies to all ports of a
// machine: two shops side by side do not sign each other out. Under the prefix of RFC 6265bis (4.1.3; from memory)
// browsers take it from this host and over TLS alone.
func sessionCookie(o Options) string {
	name := "midcase_session"
	if u, err := url.Parse(o.Address); err == nil && u.Port() != "" {
		name += "_" + u.Port()
	}
	if o.TLS {
		return "__Host-" + name
	}
	return name
}

// stillUsed reports whether a session was used lately, and notes the use now and then.
func (g *gate) stillUsed(ctx context.Context) bool {
	now := g.shop.Now()
	idle := now.Sub(time.Unix(g.sessions.GetInt64(ctx, sessionSeen), 0))
	if idle > sessionIdle {
		return false
	}
	if idle > sessionSeenAt {
		g.sessions.Put(ctx, sessionSeen, now.Unix())
	}
	return true
}

// sessionStore keeps sessions for scs. On a full disk those that begin are held in memory, so that people can come in
// to read.
type sessionStore struct {
	doors shop.DoorStore
	now   func() time.Time
	spare *memstore.MemStore
}

var _ scs.CtxStore = (*sessionStore)(nil)

// FindCtx implements scs.CtxStore.
func (s *sessionStore) FindCtx(ctx context.Context, hash string) ([]byte, bool, error) {
	if b, ok, err := s.spare.Find(hash); ok || err != nil {
		return b, ok && len(b) > 0, err // an empty one was signed out
	}
	b, err := s.doors.Session(ctx, hash, s.now())
	if errors.Is(err, shop.ErrNotFound) {
		return nil, false, nil
	}
	return b, err == nil, err
}

// CommitCtx implements scs.CtxStore. Expiry is by the machine's clock, the shop's may be another.
func (s *sessionStore) CommitCtx(ctx context.Context, hash string, b []byte, expiry time.Time) error {
	now := s.now()
	err := s.doors.KeepSession(ctx, hash, b, now, now.Add(time.Until(expiry)))
	if errors.Is(err, shop.ErrDiskFull) {
		return s.spare.Commit(hash, b, expiry)
	}
	return err
}

// DeleteCtx implements scs.CtxStore.
func (s *sessionStore) DeleteCtx(ctx context.Context, hash string) error {
	if err := s.spare.Delete(hash); err != nil {
		return err
	}
	err := s.doors.EndSession(ctx, hash)
	if errors.Is(err, shop.ErrDiskFull) { // it stays in the store, and is no longer taken from there
		return s.spare.Commit(hash, nil, time.Now().Add(sessionLasts))
	}
	return err
}

// Find implements scs.Store.
func (s *sessionStore) Find(hash string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), hash)
}

// Commit implements scs.Store.
func (s *sessionStore) Commit(hash string, b []byte, expiry time.Time) error {
	return s.CommitCtx(context.Background(), hash, b, expiry)
}

// Delete implements scs.Store.
func (s *sessionStore) Delete(hash string) error { return s.DeleteCtx(context.Background(), hash) }
