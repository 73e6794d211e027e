package proof

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"strconv"
)

// A proof is appended to a PDF as one more object, by an incremental update (ISO 32000-1, 7.5.6), so that the
// bytes before it stay what was signed and every reader shows the same pages.

var (
	sizeEntry = regexp.MustCompile(`/Size\s+(\d+)`)
	rootEntry = regexp.MustCompile(`/Root\s+\d+\s+\d+\s+R`)
	infoEntry = regexp.MustCompile(`/Info\s+\d+\s+\d+\s+R`)
	lastXref  = regexp.MustCompile(`startxref\s+(\d+)\s+%%EOF\s*$`)
	proofHead = regexp.MustCompile(`/Type /MidcaseProof /Of (\d+) /Length (\d+) >>\nstream\n`)
)

// tailBytes is how far from its end a PDF's trailer is looked for.
const tailBytes = 4096

func attach(pdf []byte, p Proof) ([]byte, error) {
	tail := pdf[max(0, len(pdf)-tailBytes):]
	i := bytes.LastIndex(tail, []byte("trailer"))
	start := lastXref.FindSubmatch(tail)
	if i < 0 || start == nil {
		return nil, errors.New("found no trailer of a PDF")
	}
	trailer := tail[i:]
	size, root := sizeEntry.FindSubmatch(trailer), rootEntry.Find(trailer)
	if size == nil || root == nil {
		return nil, errors.New("found no size or root in the trailer of the PDF")
	}
	object, err := strconv.Atoi(string(size[1]))
	if err != nil {
		return nil, err
	}
	text, err := json.Marshal(p)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	b.Write(pdf)
	if !bytes.HasSuffix(pdf, []byte("\n")) {
		b.WriteByte('\n')
	}
	at := b.Len()
	fmt.Fprintf(&b, "%d 0 obj\n<< /Type /MidcaseProof /Of %d /Length %d >>\nstream\n%s\nendstream\nendobj\n", object,
		len(pdf), len(text), text)
	xref := b.Len()
	fmt.Fprintf(&b, "xref\n%d 1\n%010d 00000 n \ntrailer\n<< /Size %d %s %s /Prev %s >>\nstartxref\n%d\n%%%%EOF\n",
		object, at, object+1, root, infoEntry.Find(trailer), start[1], xref)
	return b.Bytes(), nil
}

// detach returns the paper as it was signed, and its proof. Anything else behind the paper is refused.
func detach(file []byte) ([]byte, Proof, error) {
	var p Proof
	all := proofHead.FindAllSubmatchIndex(file, -1)
	if len(all) == 0 {
		return nil, p, ErrNoProof
	}
	m := all[len(all)-1]
	of, err := strconv.Atoi(string(file[m[2]:m[3]]))
	if err != nil || of > m[0] {
		return nil, p, ErrAltered
	}
	length, err := strconv.Atoi(string(file[m[4]:m[5]]))
	if err != nil || length > len(file)-m[1] {
		return nil, p, ErrAltered
	}
	if err := json.Unmarshal(file[m[1]:m[1]+length], &p); err != nil {
		return nil, p, ErrAltered
	}
	if p.Version != version {
		return nil, p, fmt.Errorf("its proof is of version %d; use a newer midcase", p.Version)
	}
	again, err := attach(file[:of], p)
	if err != nil || !bytes.Equal(again, file) {
		return nil, p, ErrAltered
	}
	return file[:of], p, nil
}
