package market

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"slices"

	"midcase/market/fitfile"
	"midcase/market/table"
)

// Part is one of several parts into which a sales file is cut, so that several processes can read it. Parts keep the
// columns of their rows; joined they are the table that one process would have read.
type Part struct {
	N, Of int
	Name  string // of the sales file
	Sum   string // SHA-256 of the whole sales file, in hex
	Bytes int64  // of the whole sales file
	Table *Table
	Bad   []RowError
}

// ErrPart is wrapped by what is wrong with a part, or with parts that are to be joined.
var ErrPart = errors.New("no parts of one sales file")

// partMark comes first in the file of a part, so that it is not taken for a fit.
const partMark = "midcase-sales-part-1"

// ReadPart reads part n of so many of a sales file of so many bytes. The whole file is looked at, to know its sum and
// where rows start; the rows of other parts are not read.
func ReadPart(r io.Reader, name string, n, of int, size int64, opt ReadOptions) (*Part, error) {
	const most = 10_000
	if n < 1 || n > of || of > most {
		return nil, fmt.Errorf("part %d/%d: want a part such as 2/7, of at most %d", n, of, most)
	}
	sum := sha256.New()
	file := io.TeeReader(r, sum)
	opt.Share = table.Share{N: n, Of: of, Bytes: size}
	t, bad, err := table.ReadCSV(file, name, opt)
	if err != nil {
		return nil, err
	}
	if _, err := io.Copy(io.Discard, file); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return &Part{N: n, Of: of, Name: name, Sum: hex.EncodeToString(sum.Sum(nil)), Bytes: size, Table: t, Bad: bad}, nil
}

// Encode writes the part.
func (p *Part) Encode(w io.Writer) error { return fitfile.Write(w, p.code) }

func (p *Part) code(c fitfile.Coder) {
	mark := partMark
	c.Text(&mark)
	if mark != partMark {
		c.Fail(errors.New("it is no part of a sales file"))
		return
	}
	fitfile.Number(c, &p.N)
	fitfile.Number(c, &p.Of)
	c.Text(&p.Name)
	c.Text(&p.Sum)
	fitfile.Number(c, &p.Bytes)
	p.Table.Code(c)
	table.CodeErrors(c, &p.Bad)
}

// DecodePart reads what Encode writes.
func DecodePart(r io.Reader) (*Part, error) {
	p := &Part{Table: table.EmptyTable()}
	if err := fitfile.Read(r, p.code); err != nil {
		return nil, err
	}
	if err := p.Table.Restore(); err != nil {
		return nil, fmt.Errorf("read part: %w: %w", ErrNotFit, err)
	}
	return p, nil
}

// PartNumber tells which part a file holds, without reading all of it; 0 where it is no part.
func PartNumber(r io.Reader) int {
	n := 0
	err := fitfile.Peek(r, func(c fitfile.Coder) {
		var mark string
		if c.Text(&mark); mark == partMark {
			fitfile.Number(c, &n)
		}
	})
	if err != nil {
		return 0
	}
	return n
}

// Joining puts parts together one after the other, so that one is in memory beside the table.
type Joining struct {
	table *Table
	bad   []RowError
	first Part // without its table
	from  []string
}

// Add takes the next part; from names it in errors. Parts come in their order.
func (j *Joining) Add(p *Part, from string) error {
	if j.table == nil {
		j.table, j.first = table.EmptyTable(), Part{N: p.N, Of: p.Of, Name: p.Name, Sum: p.Sum, Bytes: p.Bytes}
	}
	next := len(j.from) + 1
	switch {
	case p.Of != j.first.Of:
		return fmt.Errorf("%s is one of %d parts, %s one of %d: %w", from, p.Of, j.from[0], j.first.Of, ErrPart)
	case p.Sum != j.first.Sum:
		return fmt.Errorf("%s was read from another version of the sales file than %s; read it again: %w", from,
			j.from[0], ErrPart)
	case p.N < next:
		return fmt.Errorf("part %d of %d is there twice, as %s and %s: %w", p.N, p.Of, j.from[p.N-1], from, ErrPart)
	case p.N > next:
		return fmt.Errorf("part %d of %d is missing: %w", next, p.Of, ErrPart)
	}
	j.from = append(j.from, from)
	j.bad = append(append(j.bad, p.Bad...), named(j.table.Join(p.Table), p.Name)...)
	return nil
}

func named(bad []RowError, file string) []RowError {
	for i := range bad {
		bad[i].File = file
	}
	return bad
}

// Table is the table of all parts, and the rows that were kept out; it errs where a part is missing.
func (j *Joining) Table() (*Table, []RowError, error) {
	switch {
	case j.table == nil:
		return nil, nil, fmt.Errorf("no part was given: %w", ErrPart)
	case len(j.from) < j.first.Of:
		return nil, nil, fmt.Errorf("part %d of %d is missing: %w", len(j.from)+1, j.first.Of, ErrPart)
	}
	slices.SortStableFunc(j.bad, func(a, b RowError) int { return a.Line - b.Line })
	return j.table, j.bad, nil
}
