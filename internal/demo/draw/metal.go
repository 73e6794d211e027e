package draw

import "math"

// alloy is the colour that a metal reflects straight on, in linear light.
type alloy [3]float32

var alloys = map[string]alloy{
	"steel":  {0.66, 0.66, 0.665},
	"gold14": {0.93, 0.71, 0.42},
	"gold18": {1.0, 0.715, 0.315},
	"rose":   {0.97, 0.61, 0.44},
	"gold":   {0.97, 0.71, 0.36},
	"brass":  {0.80, 0.66, 0.42},
	"nickel": {0.72, 0.69, 0.63},
	"blued":  {0.10, 0.16, 0.42},
	"black":  {0.035, 0.035, 0.037},
	"white":  {0.80, 0.80, 0.78},
}

func alloyOf(name string) alloy {
	if name == "two_tone" {
		name = "steel"
	}
	if a, ok := alloys[name]; ok {
		return a
	}
	return alloys["steel"]
}

// accent is the metal of the parts that are gold on a two-tone watch.
func (w Watch) accent() alloy {
	if w.Metal == "two_tone" {
		return alloys["gold18"]
	}
	return alloyOf(w.Metal)
}

// vec is a direction: x right, y down, z towards the camera.
type vec struct{ x, y, z float64 }

func (v vec) norm() vec {
	k := 1 / math.Sqrt(v.x*v.x+v.y*v.y+v.z*v.z)
	return vec{v.x * k, v.y * k, v.z * k}
}

var (
	softbox = vec{-0.42, -0.62, 0.66}.norm()
	strip   = vec{0.86, 0.12, 0.50}.norm()
	low     = vec{0.10, 0.92, 0.38}.norm()
)

// studio is the light that comes from a direction: a large softbox at the upper
// left, a narrow strip at the right, a card below, dark flags between.
func studio(r vec, rough float64) float64 {
	a := softbox.x*r.x + softbox.y*r.y + softbox.z*r.z
	b := strip.x*r.x + strip.y*r.y + strip.z*r.z
	c := low.x*r.x + low.y*r.y + low.z*r.z
	s := 0.10 + 0.35*rough
	v := 0.13 + 0.30*smoothstep(-0.3, 1.0, r.z)
	v += 1.15 * smoothstep(0.84-s, 0.84+s, a)
	v += 0.55 * smoothstep(0.90-s*0.7, 0.90+s*0.7, b)
	v += 0.34 * smoothstep(0.82-s, 0.82+s, c)
	v -= 0.20 * (1 - rough) * smoothstep(0.72, 0.98, r.z) * smoothstep(0.95, 0.80, a)
	if r.z < 0 {
		v += 0.16 * smoothstep(0, -0.5, r.z)
	}
	return math.Max(v, 0.02)
}

// shade is the light of a metal surface of normal n seen from above.
func (a alloy) shade(n vec, rough float64) rgb {
	n = n.norm()
	r := vec{2 * n.z * n.x, 2 * n.z * n.y, 2*n.z*n.z - 1}
	return a.lit(studio(r, rough))
}

// lit is the colour of the metal under an amount of light.
func (a alloy) lit(l float64) rgb {
	f := float32(l)
	// in its darker parts a metal mirrors itself and grows deeper in colour
	dark := float32(0.55 * smoothstep(0.75, 0.1, l))
	a[1] *= 1 - dark*(a[0]-a[1])*0.55
	a[2] *= 1 - dark*(a[0]-a[2])
	// towards grazing or very bright light a metal turns whiter
	w := float32(smoothstep(0.95, 1.7, l)) * 0.55
	return rgb{encode(f * (a[0] + (0.95-a[0])*w)), encode(f * (a[1] + (0.95-a[1])*w)),
		encode(f * (a[2] + (0.95-a[2])*w))}
}

// brushed is a surface of normal n with fine lines along direction d (mm).
func (a alloy) brushed(x, y float64, n vec, d pt, seed uint64) rgb {
	across := x*d.Y - y*d.X
	along := x*d.X + y*d.Y
	s := 0.55*streak(across*9, seed+uint64(int64(math.Floor(along/9)))) + 0.45*streak(across*23, seed+9)
	s += 0.35 * smoothNoise(across*6, along*0.7, seed+4)
	n.x += 0.10 * s * d.Y
	n.y -= 0.10 * s * d.X
	n = n.norm()
	r := vec{2 * n.z * n.x, 2 * n.z * n.y, 2*n.z*n.z - 1}
	l := studio(r, 0.8)
	return a.lit(l * (1 + 0.075*s))
}

// domed shades a ring about c whose profile is round between r0 and r1: slope
// runs from in to out (radians), from the inner to the outer edge.
func (a alloy) domed(c pt, r0, r1, in, out, rough float64) shader {
	return func(x, y float64) (rgb, float32) {
		d := pt{x - c.X, y - c.Y}
		r := math.Max(d.length(), 1e-9)
		u := clamp01((r - r0) / (r1 - r0))
		s, cs := math.Sincos(in + (out-in)*u)
		return a.shade(vec{s * d.X / r, s * d.Y / r, cs}, rough), 1
	}
}

// rod shades a part that is round about an axis through p in direction d,
// with half width h.
func (a alloy) rod(p, d pt, h, bulge, rough float64) shader {
	d = d.norm()
	n := d.left()
	return func(x, y float64) (rgb, float32) {
		u := ((x-p.X)*n.X + (y-p.Y)*n.Y) / h * bulge
		u = math.Max(-0.98, math.Min(0.98, u))
		return a.shade(vec{u * n.X, u * n.Y, math.Sqrt(1 - u*u)}, rough), 1
	}
}

// facet shades a flat facet of the given normal, with a little life across it.
func (a alloy) facet(n vec, seed uint64) shader {
	base := n.norm()
	return func(x, y float64) (rgb, float32) {
		k := 0.03 * smoothNoise(x*1.3, y*1.3, seed)
		return a.shade(vec{base.x + k + 0.012*x, base.y - k + 0.012*y, base.z}, 0.25), 1
	}
}
