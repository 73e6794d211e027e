package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"io"

	"github.com/gen2brain/avif"
	"github.com/gen2brain/heic"
	_ "golang.org/x/image/tiff" // decoder
)

// Files of the HEIF family (ISO/IEC 23008-12) name their brand first and the others that they
// keep to after it. Telephones write more brands than the decoders know by themselves: heix for
// ten bits and HDR, mif1 and miaf for either coding.
func init() {
	for _, brand := range []string{"heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1", "miaf", "MiHE", "MA1A",
		"MA1B"} {
		image.RegisterFormat("heic", "????ftyp"+brand, decodeHEIF, configHEIF)
	}
}

// usual gives a file of the family with the plain brand of its coding first, which the
// decoders ask for, and reports whether that is AVIF.
func usual(r io.Reader) (isAVIF bool, all io.Reader, err error) {
	const brandAt, brandsAt = 8, 16
	b, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return false, nil, err
	}
	if len(b) < brandsAt {
		return false, nil, io.ErrUnexpectedEOF
	}
	end := min(int64(binary.BigEndian.Uint32(b)), int64(len(b)))
	isAVIF = end > brandAt && bytes.Contains(b[brandAt:end], []byte("avif"))
	copy(b[brandAt:], map[bool]string{true: "avif", false: "heic"}[isAVIF])
	return isAVIF, bytes.NewReader(b), nil
}

func decodeHEIF(r io.Reader) (image.Image, error) {
	isAVIF, all, err := usual(r)
	switch {
	case err != nil:
		return nil, err
	case isAVIF:
		return avif.Decode(all)
	}
	return heic.Decode(all)
}

func configHEIF(r io.Reader) (image.Config, error) {
	isAVIF, all, err := usual(r)
	switch {
	case err != nil:
		return image.Config{}, err
	case isAVIF:
		return avif.DecodeConfig(all)
	}
	return heic.DecodeConfig(all)
}
