package market

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"math"
	"midcase/market/algebra"

	"midcase/money"
)

// fitMagic opens a FIT file; the number is the version of its layout.
const fitMagic = "midcase market fit 2\n"

// ErrNotFit is wrapped by Decode for what is no FIT file, or one of another
// version, or one that is damaged.
var ErrNotFit = errors.New("not a fit file of this version")

// Encode writes the model with the sales that it rests on, so that Decode gives one
// that values, compares and updates in the same way.
func (m *Model) Encode(w io.Writer) error {
	sum := crc32.NewIEEE()
	b := bufio.NewWriterSize(io.MultiWriter(w, sum), 1<<20)
	e := &encoder{w: b}
	e.bytes([]byte(fitMagic))
	m.code(e)
	m.table.code(e)
	if e.err == nil {
		e.err = b.Flush()
	}
	if e.err == nil {
		e.err = binary.Write(w, binary.LittleEndian, sum.Sum32())
	}
	if e.err != nil {
		return fmt.Errorf("write fit: %w", e.err)
	}
	return nil
}

// Decode reads what Encode writes.
func Decode(r io.Reader) (*Model, error) {
	sum := crc32.NewIEEE()
	d := &decoder{r: &summed{bufio.NewReaderSize(r, 1<<20), sum}}
	magic := make([]byte, len(fitMagic))
	if _, err := io.ReadFull(d.r, magic); err != nil || string(magic) != fitMagic {
		return nil, fmt.Errorf("read fit: %w: it starts with %q", ErrNotFit, excerpt(magic))
	}
	m := &Model{sys: &algebra.System{}, table: emptyTable()}
	m.code(d)
	m.table.code(d)
	if d.err != nil {
		return nil, fmt.Errorf("read fit: %w: %w", ErrNotFit, d.err)
	}
	want := sum.Sum32()
	var got uint32
	if err := binary.Read(d.r, binary.LittleEndian, &got); err != nil || got != want {
		return nil, fmt.Errorf("read fit: %w: its check sum is wrong", ErrNotFit)
	}
	if err := m.restore(); err != nil {
		return nil, fmt.Errorf("read fit: %w: %w", ErrNotFit, err)
	}
	return m, nil
}

// coder moves one value in or out of a file; the same list of fields serves both
// ways.
type coder interface {
	ints(*[]int64)
	i32(*[]int32)
	u16(*[]uint16)
	u8(*[]uint8)
	u64(*[]uint64)
	u32(*[]uint32)
	f64(*[]float64)
	f32(*[]float32)
	i16(*[]int16)
	text(*string)
}

func number[T int | int32 | uint64 | int64](c coder, v *T) {
	x := []int64{int64(*v)}
	c.ints(&x)
	if len(x) == 1 {
		*v = T(x[0])
	}
}

func float(c coder, v *float64) {
	x := []float64{*v}
	c.f64(&x)
	if len(x) == 1 {
		*v = x[0]
	}
}

func list(c coder, v *[]string) {
	n := len(*v)
	number(c, &n)
	if n < 0 || n > 1<<28 {
		n = 0
	}
	if len(*v) != n {
		*v = nil
	}
	for k := 0; k < n; k++ {
		var s string
		if k < len(*v) {
			s = (*v)[k]
		}
		c.text(&s)
		if d, ok := c.(*decoder); ok {
			if d.err != nil {
				return
			}
			*v = append(*v, s)
		}
	}
}

func (m *Model) code(c coder) {
	cur := string(m.currency)
	c.text(&cur)
	m.currency = money.Currency(cur)
	for _, v := range []*float64{&m.centre, &m.condMid, &m.origMid, &m.yearMid, &m.condVar, &m.origVar, &m.yearVar, &m.scaleMid, &m.scaleVar, &m.scaleMidVar,
		&m.dof, &m.wild, &m.smear, &m.curve.Estimate, &m.curve.SE, &m.curve.Z, &m.curve.P} {
		float(c, v)
	}
	for _, v := range []*int{&m.first, &m.last, &m.quarters, &m.anchor, &m.binFirst, &m.binWidth, &m.bins, &m.raw, &m.pattern[0], &m.pattern[1], &m.pattern[2], &m.pattern[3]} {
		number(c, v)
	}
	number(c, &m.scheme.base)
	counts(c, &m.gap)
	for k := range m.off {
		number(c, &m.off[k])
	}
	flag(c, &m.curve.Tested)
	flag(c, &m.curve.Used)
	for _, f := range []*factor{&m.metal, &m.dial, &m.completeness, &m.channel, &m.country} {
		list(c, &f.level)
		counts(c, &f.count)
	}
	x := &m.nodes
	list(c, &x.name)
	list(c, &x.metal)
	c.i32(&x.parent)
	c.u8(&x.level)
	counts(c, &x.count)
	m.codeSystem(c)
	c.f64(&m.theta)
	c.f64(&m.b)
	c.f64(&m.logScale)
	c.f64(&m.scaleN)
	c.f64(&m.class)
	c.i32(&m.row)
	codeObs(c, &m.obs)
}

func flag(c coder, v *bool) {
	n := 0
	if *v {
		n = 1
	}
	number(c, &n)
	*v = n == 1
}

func counts(c coder, v *[]int) {
	x := make([]int64, len(*v))
	for k, n := range *v {
		x[k] = int64(n)
	}
	c.ints(&x)
	if _, ok := c.(*decoder); ok {
		*v = make([]int, len(x))
		for k, n := range x {
			(*v)[k] = int(n)
		}
	}
}

// codeSystem keeps the information of the data and the precisions; what follows
// from them is computed again.
func (m *Model) codeSystem(c coder) {
	s := m.sys
	number(c, &s.P)
	link := s.Link[:]
	c.f64(&link)
	copy(s.Link[:], link)
	c.f64(&s.Weight)
	c.f64(&s.Info)
	lambda := make([]float64, len(m.comps))
	for k := range m.comps {
		lambda[k] = m.comps[k].Lambda
	}
	c.f64(&lambda)
	if _, ok := c.(*decoder); ok {
		m.comps = make([]algebra.Component, len(lambda))
		for k := range lambda {
			m.comps[k].Lambda = lambda[k]
		}
	}
	for k := range m.comps {
		c.f64(&m.comps[k].Steps)
		float(c, &m.comps[k].Phi)
	}
	n := len(s.Cross)
	number(c, &n)
	if len(s.Cross) != n && n >= 0 && n < 1<<28 {
		s.Cross = nil
	}
	for k := 0; k < n; k++ {
		var v algebra.Sparse
		if k < len(s.Cross) {
			v = s.Cross[k]
		}
		c.i32(&v.At)
		c.f64(&v.Val)
		if d, ok := c.(*decoder); ok {
			if d.err != nil {
				return
			}
			s.Cross = append(s.Cross, v)
		}
	}
}

func codeObs(c coder, o *[]obs) {
	n := len(*o)
	y, leaf, class := make([]float64, n), make([]int32, n), make([]uint16, n)
	var num [3][]float32
	var idx [featCount][]uint16
	for k := range num {
		num[k] = make([]float32, n)
	}
	for k := range idx {
		idx[k] = make([]uint16, n)
	}
	for i, x := range *o {
		y[i], leaf[i], class[i] = x.y, x.leaf, x.class
		for k := range num {
			num[k][i] = x.num[k]
		}
		for k := range idx {
			idx[k][i] = x.idx[k]
		}
	}
	c.f64(&y)
	c.i32(&leaf)
	c.u16(&class)
	short := len(leaf) != len(y) || len(class) != len(y)
	for k := range num {
		c.f32(&num[k])
		short = short || len(num[k]) != len(y)
	}
	for k := range idx {
		c.u16(&idx[k])
		short = short || len(idx[k]) != len(y)
	}
	d, ok := c.(*decoder)
	if !ok {
		return
	}
	if short {
		d.fail(errors.New("columns of unequal length"))
		return
	}
	*o = make([]obs, len(y))
	for i := range *o {
		x := obs{y: y[i], leaf: leaf[i], class: class[i]}
		for k := range num {
			x.num[k] = num[k][i]
		}
		for k := range idx {
			x.idx[k] = idx[k][i]
		}
		(*o)[i] = x
	}
}

func (t *Table) code(c coder) {
	c.i32(&t.day)
	c.u8(&t.precision)
	c.ints(&t.coef)
	c.u8(&t.scale)
	c.i16(&t.year)
	c.f32(&t.cond)
	c.f32(&t.orig)
	c.i32(&t.line)
	c.u64(&t.id)
	for _, w := range t.categories() {
		c.u32(&w.code)
		list(c, &w.spelling)
	}
	for _, x := range []*texts{&t.serial, &t.source, &t.note} {
		c.u8(&x.bytes)
		c.u64(&x.end)
	}
}

// encoder writes lists with their length before them.
type encoder struct {
	w   io.Writer
	err error
}

func (e *encoder) bytes(b []byte) {
	if e.err == nil {
		_, e.err = e.w.Write(b)
	}
}

func put[T any](e *encoder, v []T) {
	if e.err == nil {
		e.err = binary.Write(e.w, binary.LittleEndian, uint64(len(v)))
	}
	const part = 1 << 16
	for from := 0; from < len(v) && e.err == nil; from += part {
		e.err = binary.Write(e.w, binary.LittleEndian, v[from:min(len(v), from+part)])
	}
}

func (e *encoder) ints(v *[]int64)  { put(e, *v) }
func (e *encoder) i32(v *[]int32)   { put(e, *v) }
func (e *encoder) u16(v *[]uint16)  { put(e, *v) }
func (e *encoder) u8(v *[]uint8)    { put(e, *v) }
func (e *encoder) u64(v *[]uint64)  { put(e, *v) }
func (e *encoder) u32(v *[]uint32)  { put(e, *v) }
func (e *encoder) f64(v *[]float64) { put(e, *v) }
func (e *encoder) f32(v *[]float32) { put(e, *v) }
func (e *encoder) i16(v *[]int16)   { put(e, *v) }
func (e *encoder) text(v *string)   { put(e, []byte(*v)) }

// decoder reads them back. It never allocates more than what has arrived, however
// long a list says it is.
type decoder struct {
	r   io.Reader
	err error
}

func (d *decoder) fail(err error) {
	if d.err == nil {
		d.err = err
	}
}

// summed adds what is read to a check sum.
type summed struct {
	r   io.Reader
	sum io.Writer
}

func (s *summed) Read(b []byte) (int, error) {
	n, err := s.r.Read(b)
	_, _ = s.sum.Write(b[:n])
	return n, err
}

func get[T any](d *decoder, v *[]T) {
	*v = nil
	if d.err != nil {
		return
	}
	var n uint64
	if err := binary.Read(d.r, binary.LittleEndian, &n); err != nil {
		d.fail(fmt.Errorf("cut short: %w", err))
		return
	}
	if n > math.MaxInt32 {
		d.fail(fmt.Errorf("a list of %d values", n))
		return
	}
	const part = 1 << 16
	for n > 0 {
		k := min(n, part)
		at := len(*v)
		*v = append(*v, make([]T, k)...)
		if err := binary.Read(d.r, binary.LittleEndian, (*v)[at:]); err != nil {
			d.fail(fmt.Errorf("cut short: %w", err))
			*v = nil
			return
		}
		n -= k
	}
}

func (d *decoder) ints(v *[]int64)  { get(d, v) }
func (d *decoder) i32(v *[]int32)   { get(d, v) }
func (d *decoder) u16(v *[]uint16)  { get(d, v) }
func (d *decoder) u8(v *[]uint8)    { get(d, v) }
func (d *decoder) u64(v *[]uint64)  { get(d, v) }
func (d *decoder) u32(v *[]uint32)  { get(d, v) }
func (d *decoder) f64(v *[]float64) { get(d, v) }
func (d *decoder) f32(v *[]float32) { get(d, v) }
func (d *decoder) i16(v *[]int16)   { get(d, v) }
func (d *decoder) text(v *string) {
	var b []byte
	get(d, &b)
	*v = string(b)
}
