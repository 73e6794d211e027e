package shop

import "midcase/evidence"

// Invalid is an input that was refused: every problem with its field. Nothing was
// changed.
type Invalid struct {
	What     string // what was being done, such as "add weighing"
	Problems evidence.Problems
}

// Error implements error.
func (e *Invalid) Error() string { return e.What + ": " + e.Problems.Error() }

func Refuse(what, field, found, want string) error {
	return &Invalid{What: what, Problems: evidence.Problems{{Field: field, Found: found, Want: want}}}
}
