package draw

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

// quickGauss is near normal: the sum of four uniform numbers from one hash. It
// is used where millions are needed.
func quickGauss(h uint64) float32 {
	s := float32(h&0xffff) + float32(h>>16&0xffff) + float32(h>>32&0xffff) + float32(h>>48)
	return (s/65535 - 2) * 1.7320508
}

// lattice gives a number from 0 to 1 for a corner of the noise grid; k is the
// corner's coordinates and the seed already spread.
func lattice(k uint32) float64 {
	k ^= k >> 15
	k *= 0x2c1b3c6d
	k ^= k >> 13
	k *= 0x297a2d39
	k ^= k >> 15
	return float64(k) * (1.0 / (1 << 32))
}

// spread is one round of the same mixing, for bits that are random already.
func spread(x uint64) uint64 {
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 29
	x *= 0x94d049bb133111eb
	return x ^ x>>32
}

// floor is math.Floor for numbers within the range of int.
func floor(x float64) int {
	i := int(x)
	if float64(i) > x {
		i--
	}
	return i
}

// smoothNoise is value noise from -1 to 1 with one cell to the unit.
func smoothNoise(x, y float64, seed uint64) float64 {
	i, j := floor(x), floor(y)
	u, v := x-float64(i), y-float64(j)
	u, v = u*u*(3-2*u), v*v*(3-2*v)
	s := uint32(seed)*0xc2b2ae3d ^ uint32(seed>>32)
	i0, i1 := uint32(i)*0x9e3779b1, uint32(i+1)*0x9e3779b1
	j0, j1 := uint32(j)*0x85ebca77^s, uint32(j+1)*0x85ebca77^s
	a, b := lattice(i0+j0), lattice(i1+j0)
	c, d := lattice(i0+j1), lattice(i1+j1)
	return 2*(a+(b-a)*u+(c-a)*v+(a-b-c+d)*u*v) - 1
}

// cloud is smooth noise of three octaves, about -1 to 1.
func cloud(x, y float64, seed uint64) float64 {
	return (smoothNoise(x, y, seed) + 0.5*smoothNoise(2.1*x, 2.1*y, seed+1) + 0.25*smoothNoise(4.3*x, 4.3*y,
		seed+2)) / 1.4
}

// streak is smooth noise along one coordinate, about -1 to 1.
func streak(x float64, seed uint64) float64 {
	i := floor(x)
	u := x - float64(i)
	s := uint32(seed)*0xc2b2ae3d ^ uint32(seed>>32) ^ 0x51ed270b
	a, b := lattice(uint32(i)*0x9e3779b1+s), lattice(uint32(i+1)*0x9e3779b1+s)
	return 2*(a+(b-a)*u) - 1
}

// die is a small seeded source of random numbers.
type die struct{ seed, n uint64 }

func (d *die) unit() float64 {
	d.n++
	return float64(hash(d.n, 0x51, d.seed)>>11) / (1 << 53)
}

func (d *die) between(a, b float64) float64 { return a + (b-a)*d.unit() }
