package soundfile

import (
	"bufio"
	"errors"
	"fmt"
	"io"

	"github.com/pion/opus"
	"github.com/pion/opus/pkg/oggreader"
)

// opusRate is what every Opus stream can be decoded to (RFC 6716, 2.1.3).
const opusRate = 48000

// opusMost is the longest packet, 120 ms (RFC 6716, 3.2), in samples of a channel.
const opusMost = opusRate * 120 / 1000

// opusSource reads an Ogg file with one Opus stream of one or two channels (RFC 7845).
type opusSource struct {
	ogg      *oggreader.OggReader
	d        opus.Decoder
	channels int
	skip     int // samples before the sound begins
	pcm      []float32
	left     []float32 // of a packet, not yet given out, interleaved
	done     int64
}

func openOpus(r *bufio.Reader) (source, head, error) {
	ogg, h, err := oggreader.NewWith(r)
	if err != nil {
		return nil, head{}, damage(err)
	}
	if h.ChannelMap != 0 || h.Channels < 1 || h.Channels > 2 {
		return nil, head{}, fmt.Errorf("%d channels; right would be 1 or 2", h.Channels)
	}
	d, err := opus.NewDecoderWithOutput(opusRate, int(h.Channels))
	if err != nil {
		return nil, head{}, damage(err)
	}
	if _, _, err := ogg.ParseNextPacket(); err != nil { // the comments
		return nil, head{}, damage(err)
	}
	return &opusSource{ogg: ogg, d: d, channels: int(h.Channels), skip: int(h.PreSkip),
		pcm: make([]float32, opusMost*2)}, head{rate: opusRate, channels: int(h.Channels)}, nil
}

func (o *opusSource) fill(l, r []float32) (int, error) {
	n := 0
	for n < len(l) {
		if len(o.left) == 0 {
			if err := o.next(); err != nil {
				return n, err
			}
			continue
		}
		m := min(len(l)-n, len(o.left)/o.channels)
		for i := range m {
			l[n+i] = o.left[i*o.channels]
			if o.channels == 2 {
				r[n+i] = o.left[2*i+1]
			}
		}
		o.left = o.left[m*o.channels:]
		n += m
		o.done += int64(m)
	}
	return n, nil
}

// next decodes a packet.
func (o *opusSource) next() error {
	packet, _, err := o.ogg.ParseNextPacket()
	switch {
	case errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF):
		return io.EOF
	case err != nil && o.done > 0:
		return cutShort(o.done, 0, opusRate)
	case err != nil:
		return damage(err)
	}
	n, err := o.d.DecodeToFloat32(packet, o.pcm)
	if err != nil {
		return damage(err)
	}
	skip := min(o.skip, n)
	o.skip -= skip
	o.left = o.pcm[skip*o.channels : n*o.channels]
	return nil
}
