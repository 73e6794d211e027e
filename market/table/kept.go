package table

import (
	"errors"
	"fmt"

	"midcase/market/fitfile"
)

// Code moves the columns in or out of a fit file.
func (t *Table) Code(c fitfile.Coder) {
	c.I32(&t.Day)
	c.U8(&t.precision)
	c.Ints(&t.coef)
	c.U8(&t.scale)
	c.I16(&t.Year)
	c.F32(&t.Cond)
	c.F32(&t.Orig)
	c.I32(&t.Line)
	c.U64(&t.ID)
	for _, w := range t.categories() {
		c.U32(&w.Code)
		fitfile.List(c, &w.Spelling)
	}
	for _, x := range []*texts{&t.serial, &t.source, &t.note} {
		c.U8(&x.bytes)
		c.U64(&x.end)
	}
}

// Restore checks a table that was read and computes what the file does not hold.
func (t *Table) Restore() error {
	n := len(t.Day)
	same := len(t.precision) == n && len(t.coef) == n && len(t.scale) == n && len(t.Year) == n && len(t.Cond) == n &&
		len(t.Orig) == n && len(t.Line) == n && len(t.ID) == n
	if !same {
		return errors.New("columns of unequal length")
	}
	for _, s := range t.scale {
		if int(s) >= len(pow10) {
			return fmt.Errorf("a price of %d decimals", s)
		}
	}
	for _, w := range t.categories() {
		if len(w.Code) != n || len(w.Spelling) == 0 || w.Spelling[0] != "" {
			return errors.New("a text column is damaged")
		}
		w.index, w.hash, w.last = map[string]uint32{}, nil, 0
		for c, s := range w.Spelling {
			w.index[s] = uint32(c)
			w.hash = append(w.hash, textHash(Fold(s)))
		}
		for _, c := range w.Code {
			if int(c) >= len(w.Spelling) {
				return errors.New("a text column is damaged")
			}
		}
	}
	for _, x := range []*texts{&t.serial, &t.source, &t.note} {
		if x.end != nil && len(x.end) != n {
			return errors.New("a text column is damaged")
		}
		var last uint64
		for _, e := range x.end {
			if e < last || e > uint64(len(x.bytes)) {
				return errors.New("a text column is damaged")
			}
			last = e
		}
	}
	for _, h := range t.ID {
		t.seen.add(h)
	}
	return nil
}
