package main

import (
	"bytes"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"midcase/internal/demo/sound"
	"midcase/internal/soundfile"
	"midcase/timing"
)

// room is one way of recording.
type room struct {
	name    string
	n       int // recordings
	snrDB   float64
	seconds float64
	rate    int
	change  func(*sound.Room, *rand.Rand)
	after   func([]float32, int) ([]float32, float64, error) // a way through a file or another rate
}

func rooms() []room {
	out := []room{
		{name: "10 dB", n: 300, snrDB: 10},
		{name: "0 dB", n: 200, snrDB: 0},
		{name: "10 dB, 10 s, 22.05 kHz", n: 100, snrDB: 10, seconds: 10, rate: 22050},
		{name: "gain control", n: 50, snrDB: 10, change: func(r *sound.Room, _ *rand.Rand) { r.AGC = true }},
		{name: "hum, five times the watch", n: 50, snrDB: 10, change: func(r *sound.Room, _ *rand.Rand) { r.Hum = 5 }},
		{name: "speech as loud as the watch", n: 50, snrDB: 10,
			change: func(r *sound.Room, _ *rand.Rand) { r.Speech = 1 }},
		{name: "knocks as loud as the watch", n: 50, snrDB: 10,
			change: func(r *sound.Room, _ *rand.Rand) { r.Clicks = 1 }},
		{name: "second watch, a third as loud", n: 50, snrDB: 10, change: otherWatch},
		{name: "resampled to 16 kHz", n: 50, snrDB: 10, after: resampled(16000)},
		{name: "resampled to 48 kHz", n: 50, snrDB: 10, after: resampled(48000)},
		{name: "telephone line, 8 kHz", n: 50, snrDB: 10, rate: 8000},
	}
	out = append(out, room{name: "bare room, falling by 60 dB in 0.3 to 0.7 s", n: 50, snrDB: 10,
		change: func(r *sound.Room, d *rand.Rand) { r.HallS = 0.3 + 0.4*d.Float64() }},
		room{name: "hands on the case, twice as loud as the watch", n: 50, snrDB: 10,
			change: func(r *sound.Room, _ *rand.Rand) { r.Hands = 2 }})
	if _, err := exec.LookPath("ffmpeg"); err == nil {
		out = append(out, room{name: "AAC, 64 kbit/s", n: 30, snrDB: 10, after: throughFFmpeg("m4a", "aac", "64k")},
			room{name: "Opus, 24 kbit/s", n: 30, snrDB: 10, after: throughFFmpeg("ogg", "libopus", "24k")})
	}
	if _, err := exec.LookPath("lame"); err == nil {
		out = append(out, room{name: "MP3, 96 kbit/s", n: 30, snrDB: 10, after: throughMP3})
	}
	return out
}

func otherWatch(r *sound.Room, d *rand.Rand) {
	rates := timing.StandardBeats()
	r.Second = &sound.Watch{BeatsPerHour: rates[d.IntN(len(rates))], RateSecPerDay: 60*d.Float64() - 30, Loudness: 0.33,
		StartS: 0.01 + 0.1*d.Float64()}
}

// result is one recording, its truth and what was read.
type result struct {
	room            string
	seed            uint64
	watch           sound.Watch
	heard, right    bool // a watch is heard; at the right beat rate
	rate, beat, amp timing.Figure
	hasAmp          bool
	confidence, snr float64
	err             error
}

// randomWatch is any watch that a dealer meets: running well or badly.
func randomWatch(d *rand.Rand) sound.Watch {
	rates := timing.StandardBeats()
	return sound.Watch{
		BeatsPerHour: rates[d.IntN(len(rates))], RateSecPerDay: 120*d.Float64() - 60,
		AmplitudeDeg: 190 + 120*d.Float64(),
		LiftAngleDeg: 44 + 12*d.Float64(), BeatErrorMS: 2 * d.Float64() * d.Float64(),
		JitterMS: 0.01 + 0.06*d.Float64(), StartS: 0.01 + 0.2*d.Float64(), Unlike: 1,
	}
}

// hearWatches makes and reads all recordings that have a watch in them, of the rooms
// whose name has the words of match.
func hearWatches(share, workers int, match string, first uint64) []result {
	type job struct {
		room room
		seed uint64
	}
	var jobs []job
	for k, r := range rooms() {
		if !strings.Contains(r.name, match) {
			continue
		}
		for i := range max(r.n/share, 1) {
			jobs = append(jobs, job{r, first + uint64(100000*(k+1)+i)})
		}
	}
	out := make([]result, len(jobs))
	each(len(jobs), workers, func(i int) { out[i] = hear(jobs[i].room, jobs[i].seed) })
	return out
}

func hear(r room, seed uint64) result {
	d := rand.New(rand.NewPCG(seed, 0x57d))
	w := randomWatch(d)
	in := sound.Room{SNRdB: r.snrDB, Reverb: 0.1 + 0.5*d.Float64()}
	if r.change != nil {
		r.change(&in, d)
	}
	seconds, hz := r.seconds, r.rate
	if seconds == 0 {
		seconds = 30
	}
	if hz == 0 {
		hz = 44100
	}
	pcm, rate := sound.Record(w, in, seconds, hz, seed), float64(hz)
	out := result{room: r.name, seed: seed, watch: w}
	if r.after != nil {
		if pcm, rate, out.err = r.after(pcm, hz); out.err != nil {
			return out
		}
	}
	a, err := timing.Analyse(pcm, rate,
		timing.Options{LiftAngleDeg: w.LiftAngleDeg, Lossy: strings.Contains(r.name, "kbit/s")})
	if out.err = err; err != nil || !a.Heard {
		return out
	}
	out.heard, out.right = true, a.BeatsPerHour == w.BeatsPerHour
	out.confidence, out.snr = a.Confidence, a.SNRdB
	if a.Rate != nil {
		out.rate = *a.Rate
	}
	out.beat = *a.BeatError
	if out.hasAmp = a.Amplitude != nil; out.hasAmp {
		out.amp = *a.Amplitude
	}
	return out
}

// throughFFmpeg has a recording coded outside, and reads it as the command line does.
func throughFFmpeg(kind, codec, bitrate string) func([]float32, int) ([]float32, float64, error) {
	return func(pcm []float32, rate int) ([]float32, float64, error) {
		var wav bytes.Buffer
		if err := sound.WriteWAV(&wav, pcm, rate, 16); err != nil {
			return nil, 0, err
		}
		dir, err := os.MkdirTemp("", "timing")
		if err != nil {
			return nil, 0, err
		}
		defer os.RemoveAll(dir)
		file := filepath.Join(dir, "coded."+kind)
		coder := exec.Command("ffmpeg", "-v", "error", "-i", "-", "-c:a", codec, "-b:a", bitrate, file)
		coder.Stdin = &wav
		if err := coder.Run(); err != nil {
			return nil, 0, err
		}
		s, end, err := soundfile.OpenFile(file)
		if err != nil {
			return nil, 0, err
		}
		defer func() { _ = end() }()
		return all(s)
	}
}

// all reads every sample.
func all(s *soundfile.Sound) ([]float32, float64, error) {
	var out []float32
	for block, err := range s.Blocks() {
		if err != nil {
			return nil, 0, err
		}
		out = append(out, block...)
	}
	return out, s.Rate, nil
}

// throughMP3 writes a WAV file, has it coded outside and reads the MP3 file.
func throughMP3(pcm []float32, rate int) ([]float32, float64, error) {
	var wav bytes.Buffer
	if err := sound.WriteWAV(&wav, pcm, rate, 16); err != nil {
		return nil, 0, err
	}
	coder := exec.Command("lame", "--quiet", "-m", "m", "-b", "96", "-", "-")
	coder.Stdin = &wav
	b, err := coder.Output()
	if err != nil {
		return nil, 0, err
	}
	s, err := soundfile.Open(bytes.NewReader(b))
	if err != nil {
		return nil, 0, err
	}
	return all(s)
}
