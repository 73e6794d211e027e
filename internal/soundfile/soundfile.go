package soundfile

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
)

// Limits of what is read.
const (
	LeastRate    = 8000 // Hz
	GreatestRate = 192000
	LeastSeconds = 5.0
	MostSeconds  = 1800.0
	// MaxBytes is the size of the longest recording that is kept: half an hour of one
	// channel at 48 kHz and 24 bits, with some room.
	MaxBytes = 270 << 20
)

// blockFrames is how many samples of each channel are decoded in one go.
const blockFrames = 1 << 14

// choiceSeconds is how much is listened to before one of two channels is taken.
const choiceSeconds = 10

// Kind is a kind of file.
type Kind string

// The kinds that are read.
const (
	WAV  Kind = "WAV"
	FLAC Kind = "FLAC"
	MP3  Kind = "MP3"
	Opus Kind = "Opus" // in an Ogg file
)

// MediaType is the kind's name on the web.
func (k Kind) MediaType() string {
	return map[Kind]string{WAV: "audio/wav", FLAC: "audio/flac", MP3: "audio/mpeg", Opus: "audio/ogg"}[k]
}

// Lossy reports whether the kind leaves out what it takes to be inaudible.
func (k Kind) Lossy() bool {
	switch k {
	case WAV, FLAC, "AIFF", "RF64", "RIFX":
		return false
	}
	return true
}

// Sound is an open recording.
type Sound struct {
	Kind     Kind
	Rate     float64 // Hz
	Channels int     // 1 or 2
	Channel  int     // the one that is read: 0 is the left or only one, 1 the right
	Bits     int     // of a sample as stored; 0 where the kind has no such thing

	from   source
	held   [2][]float32 // what was decoded to choose the channel
	ended  bool         // whether held is the whole recording
	cut    *CutShort    // why it ended before its end
	frames int64        // given out so far
	used   bool
}

// source decodes one file: it fills left and right, of the same length, as far as
// it can and says how far; io.EOF comes after the last. Mono sources leave right as it is.
type source interface {
	fill(left, right []float32) (int, error)
}

// head is what a file says of itself.
type head struct {
	rate, channels, bits int
	frames               int64 // 0 where it does not say
}

// Open reads a file's head and its first ten seconds and chooses the channel. Errors
// say what was found and what would be right.
func Open(r io.Reader) (*Sound, error) {
	b := bufio.NewReaderSize(r, 1<<16)
	first, err := b.Peek(36)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("sound: %w", err)
	}
	kind, err := kindOf(first)
	if err != nil {
		return nil, err
	}
	s := &Sound{Kind: kind}
	var h head
	err = guarded(func() (err error) {
		switch kind {
		case WAV:
			s.from, h, err = openWAV(b)
		case FLAC:
			s.from, h, err = openFLAC(b)
		case Opus:
			s.from, h, err = openOpus(b)
		default:
			s.from, h, err = openMP3(b)
		}
		return err
	})
	if err == nil {
		err = h.check()
	}
	if err == nil {
		s.Rate, s.Channels, s.Bits = float64(h.rate), h.channels, h.bits
		err = s.prepare()
	}
	if err != nil {
		return nil, fmt.Errorf("%s file: %w", kind, err)
	}
	return s, nil
}

func (h head) check() error {
	switch {
	case h.rate < LeastRate || h.rate > GreatestRate:
		return fmt.Errorf("sampled at %d Hz; right would be %d to %d Hz", h.rate, LeastRate, GreatestRate)
	case h.channels < 1 || h.channels > 2:
		return fmt.Errorf("%d channels; right would be 1 or 2", h.channels)
	case float64(h.frames) > MostSeconds*float64(h.rate):
		return tooLong(h.frames, float64(h.rate))
	}
	return nil
}

func tooLong(frames int64, rate float64) error {
	return fmt.Errorf("lasts more than %.0f min; right would be %.0f s to %.0f min: cut a piece out",
		float64(frames)/rate/60-0.5, LeastSeconds, MostSeconds/60)
}

// prepare decodes the first seconds and chooses the channel from them.
func (s *Sound) prepare() error {
	most := int(choiceSeconds * s.Rate)
	l, r := make([]float32, blockFrames), make([]float32, blockFrames)
	for len(s.held[0]) < most && !s.ended {
		n, err := s.fill(l, r)
		s.held[0] = append(s.held[0], l[:n]...)
		if s.Channels == 2 {
			s.held[1] = append(s.held[1], r[:n]...)
		}
		switch cut := (CutShort{}); {
		case errors.Is(err, io.EOF):
			s.ended = true
		case errors.As(err, &cut):
			s.ended, s.cut = true, &cut
		case err != nil:
			return err
		}
	}
	if s.ended {
		if err := s.longEnough(int64(len(s.held[0]))); err != nil && s.cut != nil {
			return fmt.Errorf("%w; right would be %.0f s at least", *s.cut, LeastSeconds)
		} else if err != nil {
			return err
		}
	}
	if s.Channels == 2 {
		s.Channel = better(s.held[0], s.held[1], s.Rate)
		s.held[1-s.Channel] = nil
	}
	return nil
}

func (s *Sound) longEnough(frames int64) error {
	switch seconds := float64(frames) / s.Rate; {
	case frames == 0:
		return errors.New("there are no samples in it")
	case math.Round(10*seconds) < 10*LeastSeconds: // 4.96 s is said to be 5.0 s
		return fmt.Errorf("lasts %.1f s; right would be %.0f s to %.0f min", seconds, LeastSeconds, MostSeconds/60)
	}
	return nil
}

func (s *Sound) fill(l, r []float32) (n int, err error) {
	err = guarded(func() error {
		var err error
		n, err = s.from.fill(l, r)
		return err
	})
	return n, err
}

// guarded turns a panic of a decoder on damaged bytes into an error.
func guarded(f func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("damaged: %v", p)
		}
	}()
	return f()
}

// Blocks gives the samples of the chosen channel in order, once. A block is good
// until the next one is asked for. An error ends the blocks; CutShort is the last where the
// file ends before its end: what came before is good.
func (s *Sound) Blocks() iter.Seq2[[]float32, error] {
	return func(yield func([]float32, error) bool) {
		if s.used {
			yield(nil, errors.New("the recording was read already"))
			return
		}
		s.used = true
		first := s.held[s.Channel]
		s.held = [2][]float32{}
		for len(first) > 0 {
			n := min(len(first), blockFrames)
			s.frames += int64(n)
			if !yield(first[:n], nil) {
				return
			}
			first = first[n:]
		}
		if !s.ended {
			s.rest(yield)
		} else if s.cut != nil {
			yield(nil, *s.cut)
		}
	}
}

// rest decodes what comes after the part that Open decoded.
func (s *Sound) rest(yield func([]float32, error) bool) {
	var both [2][]float32
	both[0], both[1] = make([]float32, blockFrames), make([]float32, blockFrames)
	for {
		n, err := s.fill(both[0], both[1])
		s.frames += int64(n)
		if float64(s.frames) > MostSeconds*s.Rate {
			err = tooLong(s.frames, s.Rate)
		}
		good := err == nil || errors.Is(err, io.EOF) || errors.As(err, &CutShort{})
		if n > 0 && good && !yield(both[s.Channel][:n], nil) {
			return
		}
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			yield(nil, fmt.Errorf("%s file: %w", s.Kind, err))
			return
		}
	}
}

// Seconds is how long the samples given out so far last.
func (s *Sound) Seconds() float64 { return float64(s.frames) / s.Rate }

// CutShort says that a file ends before its samples do, in seconds. What came before is good.
type CutShort struct{ Have, Want float64 }

// Error says how much is there.
func (c CutShort) Error() string {
	if c.Want == 0 {
		return fmt.Sprintf("cut short after %.1f s", c.Have)
	}
	return fmt.Sprintf("cut short: %.1f s of %.1f s are there", c.Have, c.Want)
}

// EndsEarly tells package timing to go as far as the recording goes.
func (c CutShort) EndsEarly() (have, want float64) { return c.Have, c.Want }

func cutShort(have, want int64, rate int) error {
	return CutShort{float64(have) / float64(rate), float64(want) / float64(rate)}
}
