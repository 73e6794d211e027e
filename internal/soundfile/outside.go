package soundfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
)

// OpenFile opens a recording on disk. What Open cannot decode goes through ffmpeg where
// it is installed. The file is closed, and ffmpeg ended, by close.
func OpenFile(path string) (s *Sound, close func() error, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, err
	}
	s, err = Open(f)
	if err == nil {
		return s, f.Close, nil
	}
	f.Close()
	var other Foreign
	if !errors.As(err, &other) {
		return nil, nil, err
	}
	tool, missing := exec.LookPath("ffmpeg")
	if missing != nil {
		return nil, nil, err
	}
	return openOutside(tool, path, other)
}

// openOutside has another program decode the first sound of a file to WAV.
func openOutside(tool, path string, kind Foreign) (*Sound, func() error, error) {
	c := exec.Command(tool, "-nostdin", "-v", "error", "-protocol_whitelist", "file,pipe", "-i", "file:"+path,
		"-map", "0:a:0", "-f", "wav", "-c:a", "pcm_f32le", "-")
	var said bytes.Buffer
	c.Stderr = &said
	out, err := c.StdoutPipe()
	if err != nil {
		return nil, nil, fmt.Errorf("%s file: %w", kind.Name, err)
	}
	if err := c.Start(); err != nil {
		return nil, nil, fmt.Errorf("%s file: %w", kind.Name, err)
	}
	end := func() error {
		_ = c.Process.Kill() // it may wait for a reader that has enough
		_ = c.Wait()
		return nil
	}
	s, err := Open(out)
	if err != nil {
		_, _ = io.Copy(io.Discard, out)
		_ = c.Wait()
		if first, _, _ := strings.Cut(said.String(), "\n"); first != "" {
			err = fmt.Errorf("ffmpeg cannot decode it: %s", first)
		}
		return nil, nil, fmt.Errorf("%s file: %w", kind.Name, err)
	}
	s.Kind = Kind(kind.Name)
	return s, end, nil
}
