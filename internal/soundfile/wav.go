package soundfile

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// wav reads the samples of a RIFF WAVE file.
type wav struct {
	r     *bufio.Reader
	h     head
	width int // bytes of a sample
	float bool
	buf   []byte
	done  int64 // frames read
	open  bool  // the head does not say how many there are
}

// Format tags of the WAVE format.
const (
	tagPCM        = 1
	tagFloat      = 3
	tagExtensible = 0xfffe
)

func openWAV(r *bufio.Reader) (source, head, error) {
	if _, err := r.Discard(12); err != nil {
		return nil, head{}, errors.New("cut short in its head")
	}
	w := &wav{r: r}
	for {
		var c [8]byte
		if _, err := io.ReadFull(r, c[:]); err != nil {
			if w.width == 0 {
				return nil, head{}, errors.New("cut short: no format is said in it")
			}
			return nil, head{}, errors.New("cut short: there are no samples in it")
		}
		name, size := string(c[:4]), int64(binary.LittleEndian.Uint32(c[4:]))
		switch name {
		case "fmt ":
			if err := w.format(size); err != nil {
				return nil, head{}, err
			}
		case "data":
			if w.width == 0 {
				return nil, head{}, errors.New("samples come before the format is said")
			}
			// programs that write as they record leave a size that means: to the end
			if w.open = size == 0xffffffff || size == 0x7fffffff-0x7fffffff%2; !w.open {
				w.h.frames = size / int64(w.width*w.h.channels)
			}
			return w, w.h, nil
		default:
			if _, err := io.CopyN(io.Discard, r, size+size%2); err != nil {
				return nil, head{}, fmt.Errorf("cut short in its part %q of %d bytes", name, size)
			}
		}
	}
}

// format reads the fmt part of the given size.
func (w *wav) format(size int64) error {
	if size < 16 || size > 1<<16 {
		return fmt.Errorf("its format part has %d bytes; right would be 16 to 40", size)
	}
	b := make([]byte, size+size%2)
	if _, err := io.ReadFull(w.r, b); err != nil {
		return errors.New("cut short in its format")
	}
	tag := binary.LittleEndian.Uint16(b)
	channels := int(binary.LittleEndian.Uint16(b[2:]))
	rate := binary.LittleEndian.Uint32(b[4:])
	align, bits := int(binary.LittleEndian.Uint16(b[12:])), int(binary.LittleEndian.Uint16(b[14:]))
	if tag == tagExtensible && size >= 26 {
		tag = binary.LittleEndian.Uint16(b[24:])
	}
	if tag != tagPCM && tag != tagFloat {
		return fmt.Errorf("its samples are coded (format %d); right would be plain PCM or float", tag)
	}
	if channels < 1 || channels > 2 {
		return fmt.Errorf("%d channels; right would be 1 or 2", channels)
	}
	width := align / channels
	good := align == width*channels && bits > 8*(width-1) && bits <= 8*width
	if tag == tagPCM {
		good = good && width >= 1 && width <= 4
	} else {
		good = good && (bits == 32 && width == 4 || bits == 64 && width == 8)
	}
	if !good {
		return fmt.Errorf("samples of %d bits in blocks of %d bytes; right would be 8, 16, 24 or 32 bits, or 32 or 64 as float", bits, align)
	}
	w.width, w.float = width, tag == tagFloat
	w.h = head{rate: int(min(rate, math.MaxInt32)), channels: channels, bits: bits}
	return nil
}

func (w *wav) fill(l, r []float32) (int, error) {
	want := len(l)
	if !w.open {
		want = int(min(int64(want), w.h.frames-w.done))
	}
	if want <= 0 {
		return 0, io.EOF
	}
	step := w.width * w.h.channels
	if len(w.buf) < len(l)*step {
		w.buf = make([]byte, len(l)*step)
	}
	got, err := io.ReadFull(w.r, w.buf[:want*step])
	n := got / step
	if e := w.convert(l, r, n); e != nil {
		return 0, e
	}
	w.done += int64(n)
	switch {
	case err == nil:
		return n, nil
	case !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF):
		return 0, err
	case w.open:
		return n, io.EOF
	}
	return n, cutShort(w.done, w.h.frames, w.h.rate)
}

// convert decodes n frames of the buffer.
func (w *wav) convert(l, r []float32, n int) error {
	step := w.width * w.h.channels
	for c := range w.h.channels {
		out := l
		if c == 1 {
			out = r
		}
		b := w.buf[c*w.width:]
		switch {
		case w.float:
			if err := w.floats(out, b, n, step); err != nil {
				return err
			}
		case w.width == 1: // the only unsigned one
			for i := range n {
				out[i] = (float32(b[i*step]) - 128) / 128
			}
		case w.width == 2:
			for i := range n {
				out[i] = float32(int16(binary.LittleEndian.Uint16(b[i*step:]))) / (1 << 15)
			}
		case w.width == 3:
			for i := range n {
				q := b[i*step : i*step+3]
				out[i] = float32(int32(uint32(q[0])<<8|uint32(q[1])<<16|uint32(q[2])<<24)) / (1 << 31)
			}
		default:
			for i := range n {
				out[i] = float32(int32(binary.LittleEndian.Uint32(b[i*step:]))) / (1 << 31)
			}
		}
	}
	return nil
}

func (w *wav) floats(out []float32, b []byte, n, step int) error {
	for i := range n {
		if w.width == 8 {
			out[i] = float32(math.Float64frombits(binary.LittleEndian.Uint64(b[i*step:])))
		} else {
			out[i] = math.Float32frombits(binary.LittleEndian.Uint32(b[i*step:]))
		}
		if v := float64(out[i]); math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("sample %d is %v; samples must be finite numbers", w.done+int64(i), v)
		}
	}
	return nil
}
