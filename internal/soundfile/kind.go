package soundfile

import (
	"bytes"
	"errors"
	"fmt"
)

const right = "right would be WAV, FLAC or MP3"

// KindOf tells a file of sound from its first sixteen bytes.
func KindOf(first []byte) (Kind, error) { return kindOf(first) }

// kindOf tells a file from its first bytes.
func kindOf(b []byte) (Kind, error) {
	at := func(i int, s string) bool { return len(b) >= i+len(s) && bytes.Equal(b[i:i+len(s)], []byte(s)) }
	switch {
	case len(b) == 0:
		return "", errors.New("the file is empty; " + right)
	case at(0, "RIFF") && at(8, "WAVE"):
		return WAV, nil
	case at(0, "fLaC"):
		return FLAC, nil
	case at(0, "ID3"):
		return MP3, nil
	case len(b) > 2 && b[0] == 0xff && b[1]&0xe6 == 0xe2: // sync word, layer III
		return MP3, nil
	case at(0, "RF64"), at(0, "RIFX"), at(0, "RIFF"):
		return "", fmt.Errorf("a file of the kind %q, not a plain WAV file; %s", b[:4], right)
	case at(4, "ftyp"):
		return "", errors.New("an MP4 file, as telephones make; " + right +
			": share it from the telephone as WAV, or convert it")
	case at(0, "OggS"), at(0, "\x1aE\xdf\xa3"):
		return "", errors.New("an Ogg or Matroska file; " + right + ": convert it")
	case at(0, "FORM"), at(0, "caff"):
		return "", errors.New("an AIFF or CAF file; " + right + ": convert it")
	}
	return "", errors.New("not a sound file that can be read; " + right)
}
