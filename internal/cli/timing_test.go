package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"midcase/internal/demo/sound"
)

// recordings are the made sounds that the scripts of testdata/timing work on.
func recordings() map[string][]byte {
	out := map[string][]byte{}
	wav := func(name string, pcm []float32, rate, bits int) {
		var b bytes.Buffer
		if err := sound.WriteWAV(&b, pcm, rate, bits); err == nil {
			out[name] = b.Bytes()
		}
	}
	watch := sound.Watch{BeatsPerHour: 18000, RateSecPerDay: 9, AmplitudeDeg: 262, BeatErrorMS: 0.6}
	good := sound.Record(watch, sound.Room{SNRdB: 16}, 12, 22050, 5)
	wav("tick.wav", good, 22050, 16)
	wav("tick-float.wav", good, 22050, -32)
	wav("talk.wav", sound.Speech(8, 16000, 2), 16000, 16)
	wav("zeros.wav", make([]float32, 8*16000), 16000, 16)
	wav("quartz.wav", sound.Quartz(40, 16000, -25, 20, 4), 16000, 16)
	wav("slow.wav", make([]float32, 6000), 1000, 16)
	wav("none.wav", nil, 16000, 16)
	out["short.wav"] = out["tick.wav"][:100000]
	out["letter.wav"] = []byte("Dear sir, the watch gains.")
	return out
}

func TestTimingScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/timing",
		RequireExplicitExec: true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("MIDCASE_USER", "Ines")
			e.Setenv("MIDCASE_SHOP", filepath.Join(e.WorkDir, "shop"))
			e.Setenv("MIDCASE_STORE", "")
			for name, b := range recordings() {
				if err := os.WriteFile(filepath.Join(e.WorkDir, name), b, 0o644); err != nil {
					return err
				}
			}
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	})
}
