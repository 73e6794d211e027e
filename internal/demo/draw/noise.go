package draw

import "math"

// hash mixes integers into 64 well spread bits (the finaliser of splitmix64,
// Steele, Lea and Flood 2014).
func hash(a, b, c uint64) uint64 {
	x := a*0x9e3779b97f4a7c15 ^ b*0xbf58476d1ce4e5b9 ^ c*0x94d049bb133111eb
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	return x ^ x>>31
}

// unit gives a number from 0 to 1 for a place and a seed.
func unit(i, j int64, seed uint64) float64 {
	return float64(hash(uint64(i), uint64(j), seed)>>11) / (1 << 53)
}

// gauss gives a standard normal number for a place and a seed.
func gauss(i, j int64, seed uint64) float64 {
	h := hash(uint64(i), uint64(j), seed)
	u := (float64(h>>32) + 0.5) / (1 << 32)
	v := float64(h&0xffffffff) / (1 << 32)
	return math.Sqrt(-2*math.Log(u)) * math.Cos(2*math.Pi*v)
}

// quickGauss is near normal: the sum of four uniform numbers from one hash. It
// is used where millions are needed.
func quickGauss(h uint64) float32 {
	s := float32(h&0xffff) + float32(h>>16&0xffff) + float32(h>>32&0xffff) + float32(h>>48)
	return (s/65535 - 2) * 1.7320508
}

// smoothNoise is value noise from -1 to 1 with one cell to the unit.
func smoothNoise(x, y float64, seed uint64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	i, j := int64(fx), int64(fy)
	u, v := x-fx, y-fy
	u, v = u*u*(3-2*u), v*v*(3-2*v)
	a, b := unit(i, j, seed), unit(i+1, j, seed)
	c, d := unit(i, j+1, seed), unit(i+1, j+1, seed)
	return 2*(a+(b-a)*u+(c-a)*v+(a-b-c+d)*u*v) - 1
}

// cloud is smooth noise of three octaves, about -1 to 1.
func cloud(x, y float64, seed uint64) float64 {
	return (smoothNoise(x, y, seed) + 0.5*smoothNoise(2.1*x, 2.1*y, seed+1) + 0.25*smoothNoise(4.3*x, 4.3*y, seed+2)) / 1.4
}

// streak is smooth noise along one coordinate, about -1 to 1.
func streak(x float64, seed uint64) float64 {
	f := math.Floor(x)
	u := x - f
	a, b := unit(int64(f), 7, seed), unit(int64(f)+1, 7, seed)
	return 2*(a+(b-a)*u) - 1
}

// die is a small seeded source of random numbers.
type die struct{ seed, n uint64 }

func (d *die) unit() float64 {
	d.n++
	return float64(hash(d.n, 0x51, d.seed)>>11) / (1 << 53)
}

func (d *die) between(a, b float64) float64 { return a + (b-a)*d.unit() }
