// Package tesseract reads print in a picture by the command tesseract, where it is installed. The program never needs
// it: without the command nothing is proposed from pictures.
package tesseract

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"os/exec"
	"strconv"
	"strings"
	"time"
)

// ErrNotInstalled says that the command is not there.
var ErrNotInstalled = errors.New("tesseract is not installed on this machine. Install tesseract-ocr to have lettering read; everything else works without it")

// command is the name of the program.
const command = "tesseract"

// longest is how long one picture may take.
const longest = 30 * time.Second

// Installed reports whether the command is there.
func Installed() bool {
	_, err := exec.LookPath(command)
	return err == nil
}

// Word is a run of characters in a picture.
type Word struct {
	Text string
	Sure float64 // 0–1, as the command states it
	Box  image.Rectangle
}

// Read reads the sparse print of a picture: lines of words from left to right.
func Read(ctx context.Context, img image.Image) ([][]Word, error) {
	path, err := exec.LookPath(command)
	if err != nil {
		return nil, ErrNotInstalled
	}
	var in, out, said bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&in, img); err != nil {
		return nil, fmt.Errorf("read lettering: %w", err)
	}
	ctx, stop := context.WithTimeout(ctx, longest)
	defer stop()
	cmd := exec.CommandContext(ctx, path, "stdin", "stdout", "--psm", "11", "tsv")
	cmd.Env = append(cmd.Environ(), "OMP_THREAD_LIMIT=1") // one picture is not worth all processors
	cmd.Stdin, cmd.Stdout, cmd.Stderr = &in, &out, &said
	cmd.WaitDelay = time.Second
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return nil, fmt.Errorf("read lettering: not done after %v: %w", longest, ctx.Err())
		}
		return nil, fmt.Errorf("read lettering: %w: %s", err, firstLine(said.String()))
	}
	return Parse(&out)
}

func firstLine(s string) string {
	s, _, _ = strings.Cut(strings.TrimSpace(s), "\n")
	return s
}

// Columns of the table that the command prints (tesseract(1), "TSV").
const (
	atLevel = iota
	_
	atBlock
	atParagraph
	atLine
	_
	atLeft
	atTop
	atWidth
	atHeight
	atSure
	atText
	columns
)

const wordLevel = "5"

// Parse reads the table that the command prints. Its text is not quoted.
func Parse(r io.Reader) ([][]Word, error) {
	var out [][]Word
	last := ""
	lines := bufio.NewScanner(r)
	for n := 1; lines.Scan(); n++ {
		row := strings.Split(lines.Text(), "\t")
		if len(row) < columns || row[atLevel] != wordLevel || strings.TrimSpace(row[atText]) == "" {
			continue
		}
		w, err := word(row)
		if err != nil {
			return nil, fmt.Errorf("table of read characters, line %d: %w", n, err)
		}
		if line := strings.Join(row[atBlock:atLine+1], " "); line != last {
			out, last = append(out, nil), line
		}
		out[len(out)-1] = append(out[len(out)-1], w)
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("table of read characters: %w", err)
	}
	return out, nil
}

func word(row []string) (Word, error) {
	var box [4]int
	for i := range box {
		v, err := strconv.Atoi(row[atLeft+i])
		if err != nil {
			return Word{}, fmt.Errorf("column %d: %q is no whole number", atLeft+i+1, row[atLeft+i])
		}
		box[i] = v
	}
	sure, err := strconv.ParseFloat(row[atSure], 64)
	if err != nil {
		return Word{}, fmt.Errorf("column %d: %q is no number", atSure+1, row[atSure])
	}
	return Word{Text: strings.TrimSpace(row[atText]), Sure: min(max(sure/100, 0), 1),
		Box: image.Rect(box[0], box[1], box[0]+box[2], box[1]+box[3])}, nil
}
