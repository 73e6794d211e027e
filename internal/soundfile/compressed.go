package soundfile

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"github.com/hajimehoshi/go-mp3"
	"github.com/mewkiz/flac"
)

// flacSource reads a FLAC file frame by frame.
type flacSource struct {
	stream *flac.Stream
	h      head
	left   [2][]int32 // of a frame, not yet given out
	done   int64
	scale  float32
}

func openFLAC(r *bufio.Reader) (source, head, error) {
	// The library trusts the sizes in the first part: that must be the stream's own
	// description, of 34 bytes (RFC 9639, 8.2).
	b, err := r.Peek(8)
	if err != nil {
		return nil, head{}, errors.New("cut short in its head")
	}
	if b[4]&0x7f != 0 || int(b[5])<<16|int(b[6])<<8|int(b[7]) != 34 {
		return nil, head{}, errors.New("damaged: it does not begin with its description")
	}
	s, err := flac.New(r)
	if err != nil {
		return nil, head{}, damage(err)
	}
	i := s.Info
	h := head{rate: int(i.SampleRate), channels: int(i.NChannels), bits: int(i.BitsPerSample),
		frames: int64(min(i.NSamples, 1<<40))}
	return &flacSource{stream: s, h: h, scale: 1 / float32(int64(1)<<(i.BitsPerSample-1))}, h, nil
}

func damage(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errors.New("cut short")
	}
	return fmt.Errorf("damaged: %w", err)
}

func (f *flacSource) fill(l, r []float32) (int, error) {
	n := 0
	for n < len(l) {
		if len(f.left[0]) == 0 {
			if err := f.next(); errors.Is(err, io.EOF) && n > 0 {
				return n, nil // the end is told the next time
			} else if err != nil {
				return n, err // what came before is given with it
			}
			continue
		}
		m := min(len(l)-n, len(f.left[0]))
		for i, v := range f.left[0][:m] {
			l[n+i] = float32(v) * f.scale
		}
		if f.h.channels == 2 {
			for i, v := range f.left[1][:m] {
				r[n+i] = float32(v) * f.scale
			}
			f.left[1] = f.left[1][m:]
		}
		f.left[0] = f.left[0][m:]
		n += m
		f.done += int64(m)
	}
	return n, nil
}

func (f *flacSource) next() error {
	frame, err := f.stream.ParseNext()
	if err != nil {
		if short := errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF); short && f.done < f.h.frames {
			return cutShort(f.done, f.h.frames, f.h.rate)
		}
		if errors.Is(err, io.EOF) {
			return io.EOF
		}
		return damage(err)
	}
	if len(frame.Subframes) != f.h.channels {
		return fmt.Errorf("damaged: a part has %d channels and the head says %d", len(frame.Subframes), f.h.channels)
	}
	for c, sub := range frame.Subframes {
		f.left[c] = sub.Samples
	}
	if f.h.channels == 2 && len(f.left[0]) != len(f.left[1]) {
		return errors.New("damaged: the channels of a part differ in length")
	}
	return nil
}

// mp3Source reads an MP3 file. The library gives two channels of 16 bits in any case.
type mp3Source struct {
	d    *mp3.Decoder
	buf  []byte
	done int64
}

func openMP3(r *bufio.Reader) (source, head, error) {
	d, err := mp3.NewDecoder(onlyReader{r}) // without seeking, or it would read the file twice
	if err != nil {
		return nil, head{}, damage(err)
	}
	return &mp3Source{d: d, buf: make([]byte, 4*blockFrames)}, head{rate: d.SampleRate(), channels: 2}, nil
}

type onlyReader struct{ r io.Reader }

func (o onlyReader) Read(p []byte) (int, error) { return o.r.Read(p) }

func (m *mp3Source) fill(l, r []float32) (int, error) {
	got, err := io.ReadFull(m.d, m.buf[:4*min(len(l), blockFrames)])
	n := got / 4
	for i := range n {
		l[i] = float32(int16(binary.LittleEndian.Uint16(m.buf[4*i:]))) / (1 << 15)
		r[i] = float32(int16(binary.LittleEndian.Uint16(m.buf[4*i+2:]))) / (1 << 15)
	}
	m.done += int64(n)
	switch {
	case err == nil:
		return n, nil
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return n, io.EOF
	case m.done > 0: // the last part is damaged, as when a recorder was switched off
		return n, cutShort(m.done, 0, m.d.SampleRate())
	}
	return n, damage(err)
}
