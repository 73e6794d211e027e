package hooks

import "time"

// SetClock sets the clock of deliveries.
func (r *Room) SetClock(now func() time.Time) { r.now = now }

// Waits are how long after each failed try the next one is due.
var Waits = waits
