package edtf

import "strings"

// Shortest is an interval whose ends are one as that one: 1968-05 for 1968-05/1968-05. Other texts stay as they are.
func Shortest(interval string) string {
	if first, last, ok := strings.Cut(interval, "/"); ok && first == last {
		return first
	}
	return interval
}
