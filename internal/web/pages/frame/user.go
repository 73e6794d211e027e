package frame

import "context"

type userKey struct{}

// WithUser returns a context in which pages say who is signed in.
func WithUser(ctx context.Context, name string) context.Context {
	return context.WithValue(ctx, userKey{}, name)
}

// User is who is signed in; empty where nobody had to.
func User(ctx context.Context) string {
	name, _ := ctx.Value(userKey{}).(string)
	return name
}
