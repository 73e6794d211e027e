package evidence

import (
	"strings"

	"midcase/say"
)

// SayPosition names a position of ISO 3158: dial up, or the hour that is uppermost.
func SayPosition(p string) say.Statement {
	if p == "" {
		return say.Statement{}
	}
	hour := strings.Replace(strings.TrimSuffix(p, "H"), "H", ":", 1)
	return say.That("running.position", say.Name("position", p), say.Name("hour", hour))
}
