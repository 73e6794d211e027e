package photobench

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/photo"
)

// Reopen is the form as it stood when something was read in a picture, from the picks
// that were kept with it; ok is false where they cannot be put into a form.
func Reopen(data evidence.Data) (v url.Values, ok bool) {
	switch d := data.(type) {
	case *evidence.Dimension:
		p, err := photo.ReadPicks(d.Picks)
		if err != nil || p.Scale == nil {
			return nil, false
		}
		v = reopenScale(p)
		if d.What == droopSize || d.What == pulledSize {
			return reopenBracelet(v, p, d), true
		}
		return reopenSize(v, p, d.What), true
	case *evidence.Reading:
		p, err := photo.ReadPicks(d.Picks)
		switch {
		case err != nil:
			return nil, false
		case p.Dial != nil:
			return reopenDial(p), true
		case p.Scale != nil:
			return reopenSize(reopenScale(p), p, d.What), true
		}
	}
	return nil, false
}

func pointsText(ps ...photo.Point) string {
	var out []string
	for _, p := range ps {
		out = append(out, strconv.FormatFloat(p[0], 'f', -1, 64)+" "+strconv.FormatFloat(p[1], 'f', -1, 64))
	}
	return strings.Join(out, "; ")
}

func set(v url.Values, name string, x float64) {
	if x != 0 {
		v.Set(name, fmt.Sprintf("%g", x))
	}
}

func reopenScale(p photo.Picks) url.Values {
	v := url.Values{"ask": {"1"}, "scale": {p.Scale.Kind}}
	if p.Scale.AsPicked { // it was on record with the picture
		v.Set("scale", "recorded")
		return v
	}
	switch p.Scale.Kind {
	case "square":
		v.Set("scale_at", pointsText(p.Scale.Corners...))
	case "circle":
		v.Set("scale_at", pointsText(p.Scale.Through...))
	default:
		v.Set("scale_at", pointsText(*p.Scale.A, *p.Scale.B))
	}
	set(v, "scale_mm", p.Scale.MM)
	set(v, "scale_plus", p.Scale.PlusMM)
	if p.Camera != nil {
		set(v, "camera_mm", p.Camera.DistanceMM)
	}
	return v
}

func reopenSize(v url.Values, p photo.Picks, what string) url.Values {
	v.Set("do", Sizes)
	row := 0
	add := func(name, points string, height float64) {
		if row < mostRows {
			v.Set(fmt.Sprintf("what%d", row), name)
			v.Set(fmt.Sprintf("at%d", row), points)
			set(v, fmt.Sprintf("h%d", row), height)
			row++
		}
	}
	for _, l := range p.Lengths {
		add(l.Name, pointsText(l.A, l.B), l.HeightMM)
	}
	for _, c := range p.Circles {
		add(c.Name, pointsText(c.Through...), c.HeightMM)
	}
	return v
}

func reopenBracelet(v url.Values, p photo.Picks, d *evidence.Dimension) url.Values {
	v.Set("do", Bracelet)
	if len(p.Lengths) > 0 {
		v.Set("pulled", pointsText(p.Lengths[0].A, p.Lengths[0].B))
		set(v, "pulled_links", float64(d.Links))
		set(v, "pull_n", d.PullN)
	}
	if x := p.Droop; x != nil {
		v.Set("held", pointsText(x.Held))
		v.Set("free", pointsText(x.FreeEnd))
		line := x.Level
		v.Set("line", "level")
		if line == nil {
			line = x.Plumb
			v.Set("line", "plumb")
		}
		if line != nil {
			v.Set("level", pointsText(line[:]...))
		}
		if len(x.Along) > 0 {
			v.Set("along", pointsText(x.Along...))
		}
		set(v, "links", float64(x.Links))
		var gaps []photo.Point
		for _, g := range x.Gaps {
			gaps = append(gaps, g[:]...)
		}
		if len(gaps) > 0 {
			v.Set("gaps", pointsText(gaps...))
		}
	}
	return v
}

func reopenDial(p photo.Picks) url.Values {
	v := url.Values{"do": {Dial}, "ask": {"1"}, "edge": {pointsText(p.Dial.Through...)}}
	set(v, "dial_mm", p.Dial.MM)
	for name, at := range map[string]*photo.Point{"twelve": p.Twelve, "six": p.Six} {
		if at != nil {
			v.Set(name, pointsText(*at))
		}
	}
	disc := func(name string, at photo.Point, radius float64) {
		v.Set(name, pointsText(at, photo.Point{at[0] + radius, at[1]}))
	}
	if p.Grey != nil {
		disc("grey", p.Grey.At, p.Grey.RadiusPx)
		set(v, "grey_l", p.Grey.Lab[0])
	}
	for _, h := range p.Hands {
		disc(h.Name+"_hand", h.At, h.RadiusPx)
	}
	if len(p.Plots) > 0 {
		first := p.Plots[0]
		all := []photo.Point{first.At, {first.At[0] + first.RadiusPx, first.At[1]}}
		for _, q := range p.Plots[1:] {
			all = append(all, q.At)
		}
		v.Set("plots", pointsText(all...))
	}
	return v
}
