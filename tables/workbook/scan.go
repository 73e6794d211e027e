package workbook

import (
	"bytes"
	"errors"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// longestToken bounds the text or tag that is held at once; a cell holds 32,767 characters.
const longestToken = 1 << 20

var (
	errTooLong = errors.New("a piece of text of more than a megabyte")
	errCutOff  = errors.New("the file ends in the middle")
)

// scanner reads XML as a stream of tags, each with the text before it. It knows as much of
// XML as workbooks use: no entities of their own, UTF-8 only.
type scanner struct {
	r    io.Reader
	buf  []byte
	at   int // start of what is not read yet
	done bool

	plain []byte // text that is kept apart from the buffer
	text  []byte // before the tag, as it stands in the file; until the next call
	name  []byte // local name of the tag
	attrs []byte
	end   bool // the tag closes an element
	empty bool // the tag opens and closes one
}

func newScanner(r io.Reader) *scanner {
	return &scanner{r: r, buf: make([]byte, 0, 64<<10)}
}

// fill reads on; what is not read yet moves to the front.
func (s *scanner) fill() error {
	if s.done {
		return io.EOF
	}
	s.buf = s.buf[:copy(s.buf[:cap(s.buf)], s.buf[s.at:])]
	s.at = 0
	if len(s.buf) == cap(s.buf) {
		if len(s.buf) >= longestToken {
			return errTooLong
		}
		s.buf = append(make([]byte, 0, 2*cap(s.buf)), s.buf...)
	}
	n, err := s.r.Read(s.buf[len(s.buf):cap(s.buf)])
	s.buf = s.buf[:len(s.buf)+n]
	if errors.Is(err, io.EOF) {
		s.done = true
		return nil
	}
	return err
}

// find is the place of a byte, counted from what is not read yet, at the earliest at from.
func (s *scanner) find(c byte, from int) (int, error) {
	for {
		if from <= len(s.buf)-s.at {
			if i := bytes.IndexByte(s.buf[s.at+from:], c); i >= 0 {
				return from + i, nil
			}
			from = len(s.buf) - s.at
		}
		if err := s.fill(); err != nil {
			return 0, err
		}
	}
}

// next reads up to the end of the next tag. io.EOF says that there is none.
func (s *scanner) next() error {
	s.plain = s.plain[:0]
	for {
		open, err := s.find('<', 0)
		if err != nil {
			return err
		}
		if is, err := s.unparsed(open); is || err != nil {
			if err != nil {
				return errCutOff
			}
			continue
		}
		shut, err := s.tagEnd(open)
		if errors.Is(err, io.EOF) {
			return errCutOff
		}
		if err != nil {
			return err
		}
		s.text = s.buf[s.at : s.at+open]
		if len(s.plain) > 0 {
			s.text = append(s.plain, s.text...)
		}
		tag := s.buf[s.at+open+1 : s.at+shut]
		s.at += shut + 1
		if len(tag) == 0 || tag[0] == '?' || tag[0] == '!' {
			continue // declarations and remarks
		}
		s.split(tag)
		return nil
	}
}

// unparsed takes what stands in <![CDATA[ ... ]]> as text.
func (s *scanner) unparsed(open int) (is bool, err error) {
	const begin, end = "<![CDATA[", "]]>"
	if len(s.buf)-s.at > open+1 && s.buf[s.at+open+1] != '!' {
		return false, nil
	}
	for len(s.buf)-s.at < open+len(begin) {
		if err := s.fill(); err != nil {
			return false, nil
		}
	}
	if !bytes.HasPrefix(s.buf[s.at+open:], []byte(begin)) {
		return false, nil
	}
	shut := open + len(begin)
	for !bytes.HasPrefix(s.buf[s.at+shut:], []byte(end)) {
		if shut, err = s.find(']', shut+1); err != nil {
			return false, err
		}
		for len(s.buf)-s.at < shut+len(end) {
			if err := s.fill(); err != nil {
				return false, err
			}
		}
	}
	s.plain = append(s.plain, s.buf[s.at:s.at+open]...)
	held := s.buf[s.at+open+len(begin) : s.at+shut]
	s.plain = append(s.plain, bytes.ReplaceAll(held, []byte{'&'}, []byte("&amp;"))...)
	s.at += shut + len(end)
	return true, nil
}

// tagEnd is the place of the ">" that ends the tag which begins at open; one between quotes
// does not.
func (s *scanner) tagEnd(open int) (int, error) {
	from := open + 1
	for {
		shut, err := s.find('>', from)
		if err != nil {
			return 0, err
		}
		tag := s.buf[s.at+open : s.at+shut]
		if bytes.Count(tag, []byte{'"'})%2 == 0 {
			return shut, nil
		}
		from = shut + 1
	}
}

func (s *scanner) split(tag []byte) {
	s.end, s.empty = false, false
	if tag[0] == '/' {
		s.end, tag = true, tag[1:]
	} else if tag[len(tag)-1] == '/' {
		s.empty, tag = true, tag[:len(tag)-1]
	}
	s.attrs = nil
	if i := bytes.IndexAny(tag, " \t\r\n"); i >= 0 {
		tag, s.attrs = tag[:i], tag[i:]
	}
	if i := bytes.IndexByte(tag, ':'); i >= 0 {
		tag = tag[i+1:]
	}
	s.name = tag
}

// is reports whether the tag opens an element of the name.
func (s *scanner) is(name string) bool { return !s.end && string(s.name) == name }

// ends reports whether an element of the name ends here.
func (s *scanner) ends(name string) bool { return (s.end || s.empty) && string(s.name) == name }

// attr is the value of an attribute of the tag, as it stands in the file; a prefix of its
// name does not count.
func (s *scanner) attr(name string) []byte {
	rest := s.attrs
	for {
		eq := bytes.IndexByte(rest, '=')
		if eq < 0 {
			return nil
		}
		key := bytes.TrimSpace(rest[:eq])
		rest = bytes.TrimLeft(rest[eq+1:], " \t\r\n")
		if len(rest) == 0 {
			return nil
		}
		shut := bytes.IndexByte(rest[1:], rest[0])
		if shut < 0 {
			return nil
		}
		value := rest[1 : 1+shut]
		rest = rest[shut+2:]
		if i := bytes.IndexByte(key, ':'); i >= 0 && string(key[:i]) != "xmlns" {
			key = key[i+1:]
		}
		if string(key) == name {
			return value
		}
	}
}

func (s *scanner) attrString(name string) string { return string(unescaped(nil, s.attr(name))) }

var named = map[string]string{"amp": "&", "lt": "<", "gt": ">", "quot": `"`, "apos": "'"}

// unescaped appends text with its entities resolved, and what a workbook writes as _x000D_.
func unescaped(out, text []byte) []byte {
	for {
		i := bytes.IndexAny(text, "&_")
		if i < 0 {
			return append(out, text...)
		}
		out, text = append(out, text[:i]...), text[i:]
		if text[0] == '_' {
			if c, ok := coded(text); ok {
				out, text = utf8.AppendRune(out, c), text[7:]
				continue
			}
			out, text = append(out, '_'), text[1:]
			continue
		}
		semi := bytes.IndexByte(text[:min(len(text), 12)], ';')
		if semi < 0 {
			out, text = append(out, '&'), text[1:]
			continue
		}
		out, text = append(out, entity(string(text[1:semi]))...), text[semi+1:]
	}
}

// coded reads _x000D_ (ECMA-376, 22.9.2.19).
func coded(text []byte) (rune, bool) {
	if len(text) < 7 || text[1] != 'x' || text[6] != '_' {
		return 0, false
	}
	n, err := strconv.ParseUint(string(text[2:6]), 16, 16)
	return rune(n), err == nil
}

func entity(name string) string {
	if c, ok := named[name]; ok {
		return c
	}
	figures, base := strings.TrimPrefix(name, "#"), 10
	if rest, hex := strings.CutPrefix(figures, "x"); hex {
		figures, base = rest, 16
	}
	n, err := strconv.ParseUint(figures, base, 21)
	if err != nil || !strings.HasPrefix(name, "#") {
		return "&" + name + ";"
	}
	return string(rune(n))
}
