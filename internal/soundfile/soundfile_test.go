package soundfile_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"midcase/internal/demo/sound"
	"midcase/internal/soundfile"
	"midcase/timing"
)

func ticks(seconds float64, rate int) []float32 {
	return sound.Record(sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 12}, sound.Room{SNRdB: 20}, seconds, rate, 3)
}

func wavOf(t *testing.T, pcm []float32, rate, bits int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := sound.WriteWAV(&b, pcm, rate, bits); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// stereo is a 16-bit WAV file of several channels, written by the format's text.
func stereo(rate int, channels ...[]float32) []byte {
	le := binary.LittleEndian
	n := len(channels[0]) * len(channels) * 2
	b := append([]byte("RIFF"), le.AppendUint32(nil, uint32(36+n))...)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 1)
	b = le.AppendUint16(b, uint16(len(channels)))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(rate*2*len(channels)))
	b = le.AppendUint16(b, uint16(2*len(channels)))
	b = le.AppendUint16(b, 16)
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(n))
	for i := range channels[0] {
		for _, c := range channels {
			b = le.AppendUint16(b, uint16(int16(math.Round(float64(c[i])*32767))))
		}
	}
	return b
}

func flacOf(t *testing.T, pcm []float32, rate int) []byte {
	t.Helper()
	const block = 4096
	var b bytes.Buffer
	e, err := flac.NewEncoder(&b, &meta.StreamInfo{BlockSizeMin: block, BlockSizeMax: block, SampleRate: uint32(rate),
		NChannels: 1, BitsPerSample: 16, NSamples: uint64(len(pcm))})
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(pcm); i += block {
		part := pcm[i:min(i+block, len(pcm))]
		sub := &frame.Subframe{SubHeader: frame.SubHeader{Pred: frame.PredVerbatim}, NSamples: len(part)}
		for _, v := range part {
			sub.Samples = append(sub.Samples, int32(math.Round(float64(v)*32767)))
		}
		f := &frame.Frame{Header: frame.Header{HasFixedBlockSize: true, BlockSize: uint16(len(part)),
			SampleRate: uint32(rate), Channels: frame.ChannelsMono, BitsPerSample: 16},
			Subframes: []*frame.Subframe{sub}}
		if err := e.WriteFrame(f); err != nil {
			t.Fatal(err)
		}
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// whole opens a file and reads all of it.
func whole(b []byte) (*soundfile.Sound, []float32, error) {
	s, err := soundfile.Open(bytes.NewReader(b))
	if err != nil {
		return nil, nil, err
	}
	var out []float32
	for block, err := range s.Blocks() {
		if err != nil {
			return s, out, err
		}
		out = append(out, block...)
	}
	return s, out, nil
}

func TestReadsEveryWidth(t *testing.T) {
	pcm := ticks(12, 16000) // longer than what is looked at to choose the channel
	for _, c := range []struct {
		name string
		b    []byte
		kind soundfile.Kind
		step float64
	}{
		{"8 bits", wavOf(t, pcm, 16000, 8), soundfile.WAV, 1.0 / 64},
		{"16 bits", wavOf(t, pcm, 16000, 16), soundfile.WAV, 1.0 / 16000},
		{"24 bits", wavOf(t, pcm, 16000, 24), soundfile.WAV, 1e-6},
		{"32 bits", wavOf(t, pcm, 16000, 32), soundfile.WAV, 1e-7},
		{"float", wavOf(t, pcm, 16000, -32), soundfile.WAV, 0},
		{"FLAC", flacOf(t, pcm, 16000), soundfile.FLAC, 1.0 / 16000},
	} {
		s, got, err := whole(c.b)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if s.Kind != c.kind || s.Rate != 16000 || s.Channels != 1 || len(got) != len(pcm) || s.Seconds() != 12 {
			t.Errorf("%s: %s, %v Hz, %d channels, %d samples of %d", c.name, s.Kind, s.Rate, s.Channels,
				len(got), len(pcm))
			continue
		}
		for i := range got {
			if math.Abs(float64(got[i]-pcm[i])) > c.step {
				t.Errorf("%s: sample %d is %v, want %v", c.name, i, got[i], pcm[i])
				break
			}
		}
	}
}

// The file was made of twelve seconds from the sound maker (18,000 beats an hour,
// +12 s/d, 22,050 Hz) by an MP3 encoder at 64 kbit/s and cut to seven.
func TestMP3(t *testing.T) {
	f, err := os.Open("testdata/ticks.mp3")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := soundfile.Open(f)
	if err != nil {
		t.Fatal(err)
	}
	a, err := timing.AnalyseStream(s.Blocks(), s.Rate, timing.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if s.Kind != soundfile.MP3 || !a.Heard || a.BeatsPerHour != 18000 || math.Abs(a.Rate.Value-12) > 1 {
		t.Errorf("%s, heard %v, %v beats an hour, rate %v; want 18000 and 12", s.Kind, a.Heard, a.BeatsPerHour, a.Rate)
	}
}

func TestBetterChannel(t *testing.T) {
	good, hum, talk := ticks(6, 16000), sound.Hum(6, 16000, 1), sound.Speech(6, 16000, 2)
	noisy := sound.Record(sound.Watch{BeatsPerHour: 18000}, sound.Room{SNRdB: 0}, 6, 16000, 3)
	dead := make([]float32, len(good))
	for _, c := range []struct {
		name        string
		left, right []float32
		want        int
	}{
		{"same", good, good, 0}, {"dead left", dead, good, 1}, {"dead right", good, dead, 0},
		{"hum left", hum, good, 1}, {"talk right", good, talk, 0}, {"noisy left", noisy, good, 1},
		{"noisy right", good, noisy, 0},
	} {
		s, got, err := whole(stereo(16000, c.left, c.right))
		if err != nil || s.Channel != c.want || s.Channels != 2 {
			t.Errorf("%s: channel %v, %v; want %d", c.name, s, err, c.want)
			continue
		}
		want := [][]float32{c.left, c.right}[c.want]
		for i := range got {
			if math.Abs(float64(got[i]-want[i])) > 1e-4 {
				t.Errorf("%s: sample %d is of the other channel", c.name, i)
				break
			}
		}
	}
}

func TestRefuses(t *testing.T) {
	pcm := ticks(6, 16000)
	good := wavOf(t, pcm, 16000, 16)
	nan := slices.Clone(pcm)
	nan[777] = float32(math.NaN())
	patched := func(at int, with ...byte) []byte {
		b := slices.Clone(good)
		copy(b[at:], with)
		return b
	}
	huge := append(slices.Clone(good[:36]), "LIST\xf0\xff\xff\xff"...)
	for name, c := range map[string]struct {
		b    []byte
		want string
	}{
		"empty":               {nil, "the file is empty; right would be WAV, FLAC, MP3 or Ogg Opus"},
		"text":                {[]byte("Dear sir, the watch gains a minute a day."), "not a sound file"},
		"telephone's own":     {[]byte("\x00\x00\x00\x20ftypM4A \x00\x00\x00\x00"), "a file of the kind M4A (MP4); right would be WAV, FLAC, MP3 or Ogg Opus"},
		"cut short":           {good[:len(good)/2], "cut short: 3.0 s of 6.0 s are there"},
		"WebM":                {[]byte("\x1aE\xdf\xa3\x01\x00\x00\x00\x00\x00\x00\x1f"), "of the kind WebM"},
		"not quite 5 s":       {wavOf(t, pcm[:79000], 16000, 16), "lasts 4.9 s; right would be 5 s"},
		"cut in the head":     {good[:30], "cut short in its format"},
		"only a head":         {good[:12], "no format is said"},
		"no samples":          {wavOf(t, nil, 16000, 16), "there are no samples"},
		"three channels":      {stereo(16000, pcm, pcm, pcm), "3 channels; right would be 1 or 2"},
		"1 kHz":               {wavOf(t, pcm, 1000, 16), "sampled at 1000 Hz; right would be 8000 to 192000 Hz"},
		"not a number":        {wavOf(t, nan, 16000, -32), "sample 777 is NaN"},
		"two seconds":         {wavOf(t, pcm[:32000], 16000, 16), "lasts 2.0 s; right would be 5 s to 30 min"},
		"coded":               {patched(20, 2), "coded (format 2)"},
		"12 channels, no end": {patched(22, 0xff, 0xff), "65535 channels"},
		"no channel":          {patched(22, 0, 0), "0 channels"},
		"odd blocks":          {patched(32, 3), "blocks of 3 bytes"},
		"a huge part":         {huge, `cut short in its part "LIST" of 4294967280 bytes`},
		"a huge format":       {patched(16, 0xff, 0xff, 0xff, 0x7f), "its format part has"},
		"half an hour":        {wavOf(t, make([]float32, 1801*8000), 8000, 8), "right would be 5 s to 30 min"},
		"FLAC cut short":      {flacOf(t, pcm, 16000)[:60000], "cut short"},
		"FLAC head only":      {[]byte("fLaC\x00\x00\x00\x22"), "cut short"},
		"FLAC nonsense":       {[]byte("fLaC\x06\xff\xff\xff 0123456789"), "damaged"},
		"MP3 nonsense":        {append([]byte{0xff, 0xfb, 0x90, 0x64}, bytes.Repeat([]byte{7}, 3000)...), "MP3 file"},
	} {
		_, _, err := whole(c.b)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q in it", name, err, c.want)
		}
	}
}

// A file that ends before its end is read as far as it goes, and says so last.
func TestCutShort(t *testing.T) {
	pcm := ticks(14, 16000)
	coded, err := os.ReadFile("testdata/ticks.ogg")
	if err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{"WAV": wavOf(t, pcm, 16000, 16), "FLAC": flacOf(t, pcm, 16000),
		"Opus": coded} {
		_, all, err := whole(b)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, share := range []float64{0.6, 0.95} {
			_, got, err := whole(b[:int(share*float64(len(b)))])
			var cut soundfile.CutShort
			if have := float64(len(got)) / float64(len(all)); !errors.As(err, &cut) && name != "Opus" ||
				have < share-0.1 || have > share+0.02 {
				t.Errorf("%s, %v of it: %v of the samples, %v", name, share, have, err)
			}
		}
	}
	if s, got, err := whole(wavOf(t, pcm[:79840], 16000, 16)); err != nil || len(got) != 79840 {
		t.Errorf("4.99 s: %v, %d samples, %v", s, len(got), err)
	}
}

// The file was made of twelve seconds from the sound maker (18,000 beats an hour, +12 s/d,
// 48,000 Hz) by an Opus encoder at 32 kbit/s.
func TestOpus(t *testing.T) {
	f, err := os.Open("testdata/ticks.ogg")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := soundfile.Open(f)
	if err != nil {
		t.Fatal(err)
	}
	a, err := timing.AnalyseStream(s.Blocks(), s.Rate, timing.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if s.Kind != soundfile.Opus || !s.Kind.Lossy() || !a.Heard || a.BeatsPerHour != 18000 ||
		math.Abs(a.Rate.Value-12) > 1 {
		t.Errorf("%s, heard %v, %v beats an hour, rate %v; want 18000 and 12", s.Kind, a.Heard, a.BeatsPerHour, a.Rate)
	}
}

// A recorder that does not know the length writes a size of all ones.
func TestOpenEnd(t *testing.T) {
	b := wavOf(t, ticks(6, 16000), 16000, 16)
	copy(b[40:], "\xff\xff\xff\xff")
	if s, got, err := whole(b); err != nil || len(got) != 6*16000 {
		t.Errorf("%v, %d samples, %v", s, len(got), err)
	}
}

type failing struct{ r io.Reader }

func (f failing) Read(p []byte) (int, error) {
	n, err := f.r.Read(p)
	if err == io.EOF {
		err = errDisk
	}
	return n, err
}

var errDisk = errors.New("disk gone")

func TestReaderErrorIsKept(t *testing.T) {
	_, err := soundfile.Open(failing{bytes.NewReader(wavOf(t, ticks(6, 16000), 16000, 16)[:5000])})
	if !errors.Is(err, errDisk) {
		t.Errorf("%v", err)
	}
}

// Whatever the bytes are, the answer is samples or an error.
func FuzzOpen(f *testing.F) {
	short := func(b []byte) []byte { return b[:min(len(b), 3000)] }
	pcm := sound.Silence(5, 8000, 1)
	f.Add(short(stereo(8000, pcm, pcm)))
	for _, name := range []string{"testdata/ticks.mp3"} {
		if b, err := os.ReadFile(name); err == nil {
			f.Add(short(b))
		}
	}
	f.Add([]byte("fLaC\x80\x00\x00\x22\x10\x00\x10\x00\x00\x00\x0e\x00\x00\x10\x03\xe8\x00\xf0\x00\x01\x38\x80 0123456789abcdef\xff\xf8\x69\x08\x00\x00"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 1<<16 {
			return
		}
		s, got, err := whole(b)
		if err == nil && (float64(len(got)) < 4.9*s.Rate || s.Channels > 2) {
			t.Errorf("%d samples at %v Hz pass", len(got), s.Rate)
		}
		for _, v := range got {
			if v != v {
				t.Fatal("a sample is no number")
			}
		}
	})
}
