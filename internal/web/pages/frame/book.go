package frame

import "context"

type bookKey struct{}

// WithBookProblem returns a context in which pages say that the files of the reference
// book have a mistake, so that the last book without one is used.
func WithBookProblem(ctx context.Context, problem error) context.Context {
	return context.WithValue(ctx, bookKey{}, problem)
}

// bookProblem is what is wrong with the book; nil where nothing is.
func bookProblem(ctx context.Context) error {
	err, _ := ctx.Value(bookKey{}).(error)
	return err
}
