package ear

import (
	"context"
	"fmt"
	"math"
	"net/url"
	"strings"

	"midcase/internal/web/pages/wording"
	"midcase/timing"
	assets "midcase/web"
)

func back(d Data) string { return "/watches/" + url.PathEscape(string(d.Watch.ID)) }

func asset(name string) string { return "/assets/" + name + "?v=" + assets.Version() }

// island is the script that records, where it was built; the page works without.
func island() (string, bool) { return asset("ear.js"), assets.Built("ear.js") }

func worklet() string { return asset("ear-worklet.js") }

// PositionWords says a position of ISO 3158.
func PositionWords(p string) string {
	switch p {
	case "CH":
		return "Dial up (CH)"
	case "FH":
		return "Dial down (FH)"
	}
	return strings.Replace(strings.TrimSuffix(p, "H"), "H", ":", 1) + " uppermost (" + p + ")"
}

func title(d Data, r Reading) string {
	s := "Latest recording"
	if d.New {
		s = "What was heard"
	}
	if r.Position != "" {
		s += ": " + strings.ToLower(PositionWords(r.Position)[:1]) + PositionWords(r.Position)[1:]
	}
	return s
}

// figure is one line of the reading.
type figure struct{ Name, Value, Range, Unit string }

func figures(ctx context.Context, a timing.Analysis) []figure {
	out := []figure{{"Beat rate", wording.Fixed(ctx, a.BeatsPerHour, 0), "", "beats per hour"}}
	add := func(name string, f *timing.Figure, unit string, most int, plus bool) {
		if f == nil {
			return
		}
		half := 1.645 * f.SE
		places := 0
		if half > 0 {
			places = min(max(0, 1-int(math.Floor(math.Log10(half)))), most)
		}
		v := wording.Fixed(ctx, f.Value, places)
		if plus {
			v = wording.SignedValue(ctx, f.Value, places)
		}
		half = math.Max(half, math.Pow(10, -float64(places))) // never ± 0
		out = append(out, figure{name, v, "±\u00a0" + wording.Fixed(ctx, half, places), unit})
	}
	if a.Stated != nil {
		add("Rate", a.Stated, "s/day", 2, true)
	} else {
		add("Rate", a.Rate, "s/day", 2, true)
	}
	add("Beat error", a.BeatError, "ms", 2, false)
	if a.Amplitude == nil {
		return append(out, figure{"Amplitude", "cannot tell", "", ""})
	}
	add("Amplitude", a.Amplitude, fmt.Sprintf("°, at a lift angle of %g°", a.LiftAngleDeg), 1, false)
	return out
}

// course is at most twenty stretches.
func course(a timing.Analysis) []timing.Course {
	step := len(a.Course)/20 + 1
	var out []timing.Course
	for i := 0; i < len(a.Course); i += step {
		out = append(out, a.Course[i])
	}
	return out
}

func sentence(s string) string {
	if s == "" {
		return ""
	}
	s = strings.ToUpper(s[:1]) + s[1:]
	if strings.HasSuffix(s, ".") || strings.HasSuffix(s, "?") {
		return s
	}
	return s + "."
}
