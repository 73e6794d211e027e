package sound

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"
)

// WriteWAV writes mono samples as a RIFF WAVE file: PCM of 8 (unsigned), 16, 24 or
// 32 bits, little endian, or 32-bit float where bits is -32 (format tag 3).
// Samples beyond -1 to 1 are clipped in PCM.
func WriteWAV(w io.Writer, samples []float32, rate int, bits int) error {
	tag, width := uint16(1), bits/8
	switch bits {
	case 8, 16, 24, 32:
	case -32:
		tag, width = 3, 4
	default:
		return fmt.Errorf("wav: %d bits; right would be 8, 16, 24, 32, or -32 for float", bits)
	}
	if rate < 1 {
		return fmt.Errorf("wav: sampling rate %d Hz; right would be above 0", rate)
	}
	size := len(samples) * width
	if size > math.MaxUint32-64 {
		return fmt.Errorf("wav: %d samples are more than a RIFF file holds", len(samples))
	}
	b := bufio.NewWriter(w)
	head := make([]byte, 0, 44)
	head = append(head, "RIFF"...)
	head = binary.LittleEndian.AppendUint32(head, uint32(36+size+size%2))
	head = append(head, "WAVEfmt "...)
	head = binary.LittleEndian.AppendUint32(head, 16)
	head = binary.LittleEndian.AppendUint16(head, tag)
	head = binary.LittleEndian.AppendUint16(head, 1)
	head = binary.LittleEndian.AppendUint32(head, uint32(rate))
	head = binary.LittleEndian.AppendUint32(head, uint32(rate*width))
	head = binary.LittleEndian.AppendUint16(head, uint16(width))
	head = binary.LittleEndian.AppendUint16(head, uint16(8*width))
	head = append(head, "data"...)
	head = binary.LittleEndian.AppendUint32(head, uint32(size))
	b.Write(head)
	var buf [4]byte
	for _, s := range samples {
		encodeSample(buf[:], s, bits)
		b.Write(buf[:width])
	}
	if size%2 == 1 {
		b.WriteByte(0) // chunks are padded to an even size
	}
	if err := b.Flush(); err != nil { // bufio keeps the first error of all writes
		return fmt.Errorf("wav: %w", err)
	}
	return nil
}

func encodeSample(buf []byte, s float32, bits int) {
	if bits == -32 {
		binary.LittleEndian.PutUint32(buf, math.Float32bits(s))
		return
	}
	top := float64(int64(1)<<(bits-1)) - 1
	v := int64(math.Round(math.Max(-1, math.Min(1, float64(s))) * top))
	if bits == 8 {
		v += 128
	}
	binary.LittleEndian.PutUint32(buf, uint32(v))
}
