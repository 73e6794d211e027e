package shop

import (
	"fmt"
	"time"
)

// ClockBehind is why nothing is recorded: the machine's clock says less than it said at an earlier change, so that
// what is recorded now would be dated before what it follows.
type ClockBehind struct {
	Now    time.Time // what the clock says
	Newest time.Time // what it said at the last change
}

// Says is what somebody who wanted to record something is told.
func (e *ClockBehind) Says() string {
	return "Nothing is recorded: " + e.Error() + ". Put the clock right. If it is right now, an owner says so under " +
		"Check and backup, or by “midcase clock --right”."
}

// Error implements error.
func (e *ClockBehind) Error() string {
	const form = "2006-01-02 15:04 MST"
	return fmt.Sprintf("the clock of this machine says %s, but it said %s when something was last recorded",
		e.Now.UTC().Format(form), e.Newest.UTC().Format(form))
}
