package fitfile

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"math"
)

// fitMagic opens a FIT file; the number is the version of its layout.
const fitMagic = "midcase market fit 2\n"

// ErrNot is wrapped by readFile for what is no FIT file, or one of another
// version, or one that is damaged.
var ErrNot = errors.New("not a fit file of this version")

// Write writes what code names, with the opening line before and a check sum after.
func Write(w io.Writer, code func(Coder)) error {
	sum := crc32.NewIEEE()
	b := bufio.NewWriterSize(io.MultiWriter(w, sum), 1<<20)
	e := &encoder{w: b}
	e.bytes([]byte(fitMagic))
	code(e)
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

// Peek reads the first values of what Write wrote, without its check sum.
func Peek(r io.Reader, code func(Coder)) error {
	d := &decoder{r: r}
	if err := d.opening(); err != nil {
		return err
	}
	if code(d); d.err != nil {
		return fmt.Errorf("read fit: %w: %w", ErrNot, d.err)
	}
	return nil
}

// opening reads the line that such a file starts with.
func (d *decoder) opening() error {
	magic := make([]byte, len(fitMagic))
	if _, err := io.ReadFull(d.r, magic); err != nil || string(magic) != fitMagic {
		return fmt.Errorf("read fit: %w: it starts with %q", ErrNot, magic)
	}
	return nil
}

// Read reads into what code names what writeFile wrote. Nothing of it is to be used
// where it errs.
func Read(r io.Reader, code func(Coder)) error {
	sum := crc32.NewIEEE()
	d := &decoder{r: &summed{bufio.NewReaderSize(r, 1<<20), sum}}
	if err := d.opening(); err != nil {
		return err
	}
	code(d)
	if d.err != nil {
		return fmt.Errorf("read fit: %w: %w", ErrNot, d.err)
	}
	want := sum.Sum32()
	var got uint32
	if err := binary.Read(d.r, binary.LittleEndian, &got); err != nil || got != want {
		return fmt.Errorf("read fit: %w: its check sum is wrong", ErrNot)
	}
	return nil
}

// Coder moves one value in or out of a file; the same list of fields serves both
// ways.
type Coder interface {
	Ints(*[]int64)
	I32(*[]int32)
	U16(*[]uint16)
	U8(*[]uint8)
	U64(*[]uint64)
	U32(*[]uint32)
	F64(*[]float64)
	F32(*[]float32)
	I16(*[]int16)
	Text(*string)

	Reading() bool
	Failed() bool
	Fail(error) // when reading, says that what was read makes no sense
}

// Number moves one whole number.
func Number[T int | int32 | uint64 | int64](c Coder, v *T) {
	x := []int64{int64(*v)}
	c.Ints(&x)
	if len(x) == 1 {
		*v = T(x[0])
	}
}

// Float moves one number.
func Float(c Coder, v *float64) {
	x := []float64{*v}
	c.F64(&x)
	if len(x) == 1 {
		*v = x[0]
	}
}

// List moves a list of texts.
func List(c Coder, v *[]string) {
	n := len(*v)
	Number(c, &n)
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
		c.Text(&s)
		if c.Reading() {
			if c.Failed() {
				return
			}
			*v = append(*v, s)
		}
	}
}

// Flag moves a yes or no.
func Flag(c Coder, v *bool) {
	n := 0
	if *v {
		n = 1
	}
	Number(c, &n)
	*v = n == 1
}

// Counts moves a list of whole numbers.
func Counts(c Coder, v *[]int) {
	x := make([]int64, len(*v))
	for k, n := range *v {
		x[k] = int64(n)
	}
	c.Ints(&x)
	if c.Reading() {
		*v = make([]int, len(x))
		for k, n := range x {
			(*v)[k] = int(n)
		}
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

func (e *encoder) Ints(v *[]int64)  { put(e, *v) }
func (e *encoder) I32(v *[]int32)   { put(e, *v) }
func (e *encoder) U16(v *[]uint16)  { put(e, *v) }
func (e *encoder) U8(v *[]uint8)    { put(e, *v) }
func (e *encoder) U64(v *[]uint64)  { put(e, *v) }
func (e *encoder) U32(v *[]uint32)  { put(e, *v) }
func (e *encoder) F64(v *[]float64) { put(e, *v) }
func (e *encoder) F32(v *[]float32) { put(e, *v) }
func (e *encoder) I16(v *[]int16)   { put(e, *v) }
func (e *encoder) Text(v *string)   { put(e, []byte(*v)) }

func (e *encoder) Reading() bool { return false }
func (e *encoder) Failed() bool  { return e.err != nil }
func (e *encoder) Fail(err error) {
	if e.err == nil {
		e.err = err
	}
}

// decoder reads them back. It never allocates more than what has arrived, however
// long a list says it is.
type decoder struct {
	r   io.Reader
	err error
}

func (d *decoder) Reading() bool { return true }
func (d *decoder) Failed() bool  { return d.err != nil }
func (d *decoder) Fail(err error) {
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
		d.Fail(fmt.Errorf("cut short: %w", err))
		return
	}
	if n > math.MaxInt32 {
		d.Fail(fmt.Errorf("a list of %d values", n))
		return
	}
	const part = 1 << 16
	for n > 0 {
		k := min(n, part)
		at := len(*v)
		*v = append(*v, make([]T, k)...)
		if err := binary.Read(d.r, binary.LittleEndian, (*v)[at:]); err != nil {
			d.Fail(fmt.Errorf("cut short: %w", err))
			*v = nil
			return
		}
		n -= k
	}
}

func (d *decoder) Ints(v *[]int64)  { get(d, v) }
func (d *decoder) I32(v *[]int32)   { get(d, v) }
func (d *decoder) U16(v *[]uint16)  { get(d, v) }
func (d *decoder) U8(v *[]uint8)    { get(d, v) }
func (d *decoder) U64(v *[]uint64)  { get(d, v) }
func (d *decoder) U32(v *[]uint32)  { get(d, v) }
func (d *decoder) F64(v *[]float64) { get(d, v) }
func (d *decoder) F32(v *[]float32) { get(d, v) }
func (d *decoder) I16(v *[]int16)   { get(d, v) }
func (d *decoder) Text(v *string) {
	var b []byte
	get(d, &b)
	*v = string(b)
}
