package soundfile

import (
	"bytes"
	"errors"
	"fmt"
)

const right = "right would be WAV, FLAC, MP3 or Ogg Opus"

// Foreign is what Open returns for a recording of a kind that is known and that it cannot
// decode: those of telephones and of browsers.
type Foreign struct{ Name string }

// Error names the kind and the way out.
func (f Foreign) Error() string {
	return "a file of the kind " + f.Name + "; " + right + ": add it on the page of the watch, whose browser turns " +
		"it into WAV where it can, or install ffmpeg, which the command line then uses, or convert it to WAV"
}

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
	case at(0, "OggS") && at(28, "OpusHead"):
		return Opus, nil
	case len(b) > 2 && b[0] == 0xff && b[1]&0xe6 == 0xe2: // sync word, layer III
		return MP3, nil
	case at(4, "ftyp"):
		return "", Foreign{brand(b)}
	}
	for _, k := range foreign {
		if at(0, k.first) {
			return "", Foreign{k.name}
		}
	}
	if len(b) > 2 && b[0] == 0xff && b[1]&0xf6 == 0xf0 {
		return "", Foreign{"AAC"}
	}
	if at(0, "RIFF") {
		return "", fmt.Errorf("a file of the kind %q, not a plain WAV file; %s", b[:4], right)
	}
	return "", errors.New("not a sound file that can be read; " + right)
}

// foreign tells further kinds by their first bytes.
var foreign = []struct{ first, name string }{
	{"OggS", "Ogg"}, {"\x1aE\xdf\xa3", "WebM (Matroska)"}, {"caff", "CAF"}, {"FORM", "AIFF"}, {"#!AMR", "AMR"},
	{"RF64", "RF64"}, {"RIFX", "RIFX"},
}

// brand says which kind of MP4 file it is.
func brand(b []byte) string {
	if len(b) >= 12 {
		switch string(b[8:11]) {
		case "M4A", "M4B":
			return "M4A (MP4)"
		case "3gp", "3g2":
			return "3GP (MP4)"
		}
	}
	return "MP4"
}
