package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"
	"syscall"

	"midcase/internal/shop"
)

// misuse is an error of use, for exit code 2.
type misuse struct{ error }

func (m misuse) Unwrap() error { return m.error }

func wrong(format string, args ...any) error { return misuse{fmt.Errorf(format, args...)} }

// refused makes values given on the command line that the shop refused an error of
// use; other errors stay what they are.
func refused(err error) error {
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return misuse{err}
	}
	return err
}

// inWords is an error as the user reads it: what the operating system says of a file
// is put as file first, then what is wrong with it.
func inWords(err error) string {
	s := err.Error()
	var behind *shop.ClockBehind
	if errors.As(err, &behind) {
		return behind.Says()
	}
	var path *fs.PathError
	if errors.As(err, &path) {
		s = strings.ReplaceAll(s, path.Error(), path.Path+": "+reason(path.Err))
		return strings.ReplaceAll(s, path.Path+": "+path.Path+": ", path.Path+": ")
	}
	return s
}

func reason(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no such file or folder"
	case errors.Is(err, fs.ErrPermission):
		return "this user may not open it"
	case errors.Is(err, syscall.EISDIR):
		return "this is a folder, not a file"
	case errors.Is(err, syscall.ENOTDIR):
		return "this is a file, not a folder"
	case errors.Is(err, syscall.ENOSPC):
		return "the disk is full"
	case errors.Is(err, syscall.EROFS):
		return "the disk can only be read"
	}
	return err.Error()
}

// folder makes sure that a path is a folder.
func folder(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	if !info.IsDir() {
		return &fs.PathError{Op: "open", Path: path, Err: syscall.ENOTDIR}
	}
	return nil
}

// unwritable says of an output file that it cannot be written, without the names of
// files that nobody asked for.
func unwritable(path string, err error) error {
	cause := err
	var p *fs.PathError
	var l *os.LinkError
	if errors.As(err, &p) {
		cause = p.Err
	} else if errors.As(err, &l) {
		cause = l.Err
	}
	if errors.Is(cause, fs.ErrNotExist) {
		return fmt.Errorf("%s cannot be written: its folder is not there", path)
	}
	if errors.Is(cause, fs.ErrExist) || errors.Is(cause, syscall.EISDIR) {
		return fmt.Errorf("%s cannot be written: it is a folder", path)
	}
	if errors.Is(cause, fs.ErrPermission) {
		return fmt.Errorf("%s cannot be written: this user may not write there", path)
	}
	return fmt.Errorf("%s cannot be written: %s", path, reason(cause))
}

// jsonFault says what is wrong with a JSON file of the user's.
func jsonFault(path string, b []byte, err error) error {
	var syntax *json.SyntaxError
	var wrongType *json.UnmarshalTypeError
	place := func(offset int64) string {
		head := string(b[:min(max(offset-1, 0), int64(len(b)))])
		return fmt.Sprintf("%s:%d:%d", path, 1+strings.Count(head, "\n"), len(head)-strings.LastIndexByte(head, '\n'))
	}
	switch {
	case errors.As(err, &syntax):
		return fmt.Errorf("%s: not JSON", place(syntax.Offset))
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return fmt.Errorf("%s: not JSON: the file ends before its last bracket is closed", place(int64(len(b))))
	case errors.As(err, &wrongType):
		return fmt.Errorf("%s: field %s cannot be a %s", place(wrongType.Offset),
			wrongType.Field, wrongType.Value)
	}
	return fmt.Errorf("%s: %s", path, strings.TrimPrefix(err.Error(), "json: "))
}

// count writes a number with its noun: 1 row, 2 rows.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	if strings.HasSuffix(noun, "ch") {
		noun += "e" // watches
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
