package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"math/bits"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// SQLite reads its write-ahead log up to the first frame whose sum is wrong and passes over the rest without a word:
// a flipped bit takes back what was acknowledged. So the file is read here first. Its format is section 4 of
// https://www.sqlite.org/fileformat2.html.
const (
	walHeaderBytes = 32
	walFrameBytes  = 24 // before each page
	walMagic       = 0x377f0682
	walSaltBits    = 3 // so few bits of a salt differ by damage, not because the frame is an older log's
)

// walFault says what is damaged in the write-ahead log of an SQLite file; it is empty where nothing is. A last change
// that a killed program left unfinished is no damage.
func walFault(path string) (string, error) {
	const tries = 3 // another program may be writing
	var says string
	for range tries {
		b, err := os.ReadFile(path + "-wal")
		if errors.Is(err, fs.ErrNotExist) {
			return "", nil
		}
		if err != nil {
			return "", fmt.Errorf("write-ahead log: %w", err)
		}
		if says = readWAL(b); says == "" {
			return "", nil
		}
		time.Sleep(50 * time.Millisecond)
	}
	return says, nil
}

// walSum is SQLite's sum over 32-bit words, each of which counts in the next.
type walSum struct {
	order  binary.ByteOrder
	s0, s1 uint32
}

func (w *walSum) add(b []byte) {
	for ; len(b) >= 8; b = b[8:] {
		w.s0 += w.order.Uint32(b) + w.s1
		w.s1 += w.order.Uint32(b[4:]) + w.s0
	}
}

// is reports whether the sum is the one written, which is big-endian always.
func (w *walSum) is(b []byte) bool {
	return binary.BigEndian.Uint32(b) == w.s0 && binary.BigEndian.Uint32(b[4:]) == w.s1
}

// readWAL says what is damaged in the bytes of a write-ahead log.
func readWAL(b []byte) string {
	if len(b) < walHeaderBytes {
		return "" // empty, or not begun
	}
	big := binary.BigEndian
	sum := &walSum{order: binary.LittleEndian}
	if big.Uint32(b) == walMagic+1 {
		sum.order = big
	}
	sum.add(b[:24])
	page := int(big.Uint32(b[8:]))
	if big.Uint32(b)&^1 != walMagic || !sum.is(b[24:]) || page < 512 || page > 1<<16 {
		return "the head of the write-ahead log is damaged: the last changes cannot be read"
	}
	salts := big.Uint64(b[16:])
	frames, good, lost := 0, 0, 0
	for at := walHeaderBytes; at+walFrameBytes+page <= len(b); at += walFrameBytes + page {
		f := b[at : at+walFrameBytes+page]
		if bits.OnesCount64(big.Uint64(f[8:])^salts) > walSaltBits {
			break // of an older log, which this one writes over
		}
		frames++
		if good == frames-1 {
			sum.add(f[:8])
			sum.add(f[walFrameBytes:])
			if big.Uint64(f[8:]) == salts && sum.is(f[16:]) {
				good++
				continue
			}
		}
		if big.Uint32(f[4:]) != 0 { // the end of a change, which was acknowledged
			lost++
		}
	}
	if lost == 0 {
		return ""
	}
	return fmt.Sprintf("the write-ahead log is damaged at page %d of %d: the last changes, %d of them, cannot be read",
		good+1, frames, lost)
}

// damagedName is what a damaged write-ahead log is kept under, before SQLite writes over it.
const damagedName = "-wal.damaged"

// keepDamagedWAL puts a copy of a damaged write-ahead log beside it, where somebody may still read it out, and
// reports whether it has.
func keepDamagedWAL(path string) (kept bool, err error) {
	says, err := walFault(path)
	if err != nil || says == "" {
		return false, err
	}
	for n := 1; ; n++ {
		err := copyFile(path+"-wal", fmt.Sprintf("%s%s-%d", path, damagedName, n))
		if !errors.Is(err, fs.ErrExist) {
			return true, err
		}
	}
}

// walFindings are what is damaged in the write-ahead log now, and the damaged ones that were put aside.
func walFindings(path string) ([]Finding, error) {
	var out []Finding
	says, err := walFault(path)
	if err != nil {
		return nil, err
	}
	if says != "" {
		out = append(out, Finding{What: InDatabase, ID: filepath.Base(path) + "-wal", Says: says})
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return out, err
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), filepath.Base(path)+damagedName) {
			continue
		}
		info, err := e.Info()
		if err != nil {
			return out, err
		}
		out = append(out, Finding{What: InDatabase, ID: e.Name(), Says: fmt.Sprintf("the last changes before %s "+
			"were damaged and are not in the database; %s has what is left of them. Record them again, or restore a "+
			"backup; then move the file away", info.ModTime().Format(time.DateTime), e.Name())})
	}
	return out, nil
}
