package picture

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"runtime"
	"time"

	"golang.org/x/sync/semaphore"
)

// ErrBusy is the answer to whoever would have to wait too long for the memory that a picture takes.
var ErrBusy = errors.New("too many pictures are being read at once")

// ErrTooSlow is a picture that was made to take long.
var ErrTooSlow = errors.New("picture takes too long to read")

// What reading pictures may take. The memory is the process's, so that there is one budget, whoever reads.
const (
	budget   = 200 << 20        // bytes for all pictures that are decoded at a time; one that needs more is alone
	mostFor1 = 400 << 20        // bytes for one picture of the kinds that can be made to take any amount
	mostWait = 10 * time.Second // for the memory, where whoever asks may leave meanwhile
	mostTime = 20 * time.Second // to decode
	mostScan = 64               // passes of a progressive JPEG; encoders make about ten
	nibble   = 256              // bytes between two looks at the time
)

var memory = semaphore.NewWeighted(budget)

// reserve waits until there is memory for a picture. Who cannot leave waits as long as it takes.
func reserve(ctx context.Context, need int64) (release func(), err error) {
	wait := ctx
	if ctx.Done() != nil {
		limited, cancel := context.WithTimeout(ctx, mostWait)
		defer cancel()
		wait = limited
	}
	need = min(need, budget)
	if err := memory.Acquire(wait, need); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return nil, ErrBusy
	}
	return func() {
		if need > budget/2 {
			runtime.GC() // so that the next large one does not come on top of this one's remains
		}
		memory.Release(need)
	}, nil
}

// patient reads a few bytes at a time and stops when the context ends, and with it a decoder that makes much of
// few bytes.
type patient struct {
	ctx context.Context
	r   io.Reader
}

func (p patient) Read(b []byte) (int, error) {
	if err := p.ctx.Err(); err != nil {
		return 0, err
	}
	return p.r.Read(b[:min(len(b), nibble)])
}

// need estimates the bytes that decoding takes, from the header. It refuses what was made to take more than any
// honest picture.
func (i Info) need(b []byte) (int64, error) {
	pixels := int64(i.WidthPx) * int64(i.HeightPx)
	const (
		plain  = 4  // bytes of an RGBA pixel
		inside = 12 // the decoders that run in a sandbox hold the picture two or three times
	)
	switch i.MediaType {
	case "image/jpeg":
		h := headOfJPEG(b)
		if h.scans > mostScan {
			return 0, fmt.Errorf("%w: it comes in %d passes; at most %d", ErrTooSlow, h.scans, mostScan)
		}
		each := pixels * int64(h.samples) / 100
		if h.progressive {
			each *= 5 // a coefficient of four bytes for each sample, and the samples
		}
		return each, tooMuch(each)
	case "image/png":
		each := pixels * plain
		if len(b) > 24 && b[24] == 16 { // bits a channel
			each *= 2
		}
		return each, tooMuch(each)
	}
	if i.MediaType == "image/tiff" {
		each := pixels*plain*2 + int64(len(b)) // up to 16 bits a channel, and the strips unpacked
		return each, tooMuch(each)
	}
	return pixels * inside, nil
}

func tooMuch(bytes int64) error {
	if bytes <= mostFor1 {
		return nil
	}
	return fmt.Errorf("%w: reading it takes %d MB of memory; save it smaller, or as a JPEG that is not progressive",
		ErrTooLarge, bytes>>20)
}

// jpegHead is what the segments of a JPEG say about the work of decoding it.
type jpegHead struct {
	progressive bool
	samples     int // in 100 pixels
	scans       int
}

// The markers of ITU-T T.81, table B.1, as far as they are needed.
const (
	markerSOF0 = 0xc0
	markerSOF2 = 0xc2
	markerEOI  = 0xd9
	markerSOS  = 0xda
	markerRST0 = 0xd0
	markerRST7 = 0xd7
)

// headOfJPEG walks the segments. What cannot be followed is for the decoder to refuse.
func headOfJPEG(b []byte) jpegHead {
	h := jpegHead{samples: 300}
	for at := 2; at+4 <= len(b); {
		if b[at] != 0xff || b[at+1] == 0 || b[at+1] == 0xff || b[at+1] >= markerRST0 && b[at+1] <= markerRST7 {
			at++ // within the coded pixels of a scan
			continue
		}
		marker, size := b[at+1], int(binary.BigEndian.Uint16(b[at+2:]))
		switch marker {
		case markerEOI:
			return h
		case markerSOS:
			h.scans++
		case markerSOF0, markerSOF0 + 1, markerSOF2:
			h.progressive = marker == markerSOF2
			h.samples = samplesIn(b[min(len(b), at+4):min(len(b), at+2+size)])
		}
		at += 2 + size
	}
	return h
}

// samplesIn counts the samples of 100 pixels in the body of a frame header.
func samplesIn(frame []byte) int {
	const head, each = 6, 3
	if len(frame) < head {
		return 300
	}
	total, largest := 0, 1
	for at := head; at+each <= len(frame); at += each {
		area := int(frame[at+1]>>4) * int(frame[at+1]&0xf)
		total, largest = total+area, max(largest, area)
	}
	return max(100, 100*total/largest)
}

// taking lets two people hand in a picture at a time; the others wait with theirs on disk.
var taking = semaphore.NewWeighted(2)

// Take reads a picture that is handed in, all of it, and checks it. An empty one is no error; its Info is empty.
func Take(ctx context.Context, r io.Reader) ([]byte, Info, error) {
	if err := taking.Acquire(ctx, 1); err != nil {
		return nil, Info{}, err
	}
	defer taking.Release(1)
	b, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil || len(b) == 0 {
		return nil, Info{}, err
	}
	info, err := Check(ctx, b)
	return b, info, err
}

// Faulty reports whether an error is the picture's fault, not that of the moment or the disk.
func Faulty(err error) bool {
	for _, fault := range []error{ErrNotAPicture, ErrTooLarge, ErrBroken, ErrTooSlow} {
		if errors.Is(err, fault) {
			return true
		}
	}
	return false
}
