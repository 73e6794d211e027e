package table

import (
	"fmt"

	"midcase/market/fitfile"
)

// Join adds the rows of another table of the same file, as if they had been read after those that are there. Rows that
// are there already are returned as RowErrors and kept out.
func (t *Table) Join(p *Table) (bad []RowError) {
	t.reserve(p.Len())
	mine, theirs := t.categories(), p.categories()
	codes := make([][]uint32, len(mine)) // of each spelling of the other table
	for k, w := range theirs {
		for _, s := range w.Spelling {
			codes[k] = append(codes[k], mine[k].lookup([]byte(s)))
		}
	}
	for i, h := range p.ID {
		if !t.seen.add(h) {
			bad = append(bad, RowError{Line: int(p.Line[i]), Found: SaleID(h),
				Want: "a sale that is not yet there; this row is a duplicate", duplicate: true, hash: h})
			continue
		}
		for k, w := range theirs {
			mine[k].Code = append(mine[k].Code, codes[k][w.Code[i]])
		}
		t.Day, t.precision = append(t.Day, p.Day[i]), append(t.precision, p.precision[i])
		t.coef, t.scale = append(t.coef, p.coef[i]), append(t.scale, p.scale[i])
		t.Year, t.Cond, t.Orig = append(t.Year, p.Year[i]), append(t.Cond, p.Cond[i]), append(t.Orig, p.Orig[i])
		t.Line, t.ID = append(t.Line, p.Line[i]), append(t.ID, h)
		row := len(t.Day) - 1
		t.serial.add(p.serial.bytesAt(i), row)
		t.source.add(p.source.bytesAt(i), row)
		t.note.add(p.note.bytesAt(i), row)
	}
	t.nameFirst(bad)
	return bad
}

// bytesAt is the text of row i, valid as long as the column.
func (t *texts) bytesAt(i int) []byte {
	if t.end == nil {
		return nil
	}
	var from uint64
	if i > 0 {
		from = t.end[i-1]
	}
	return t.bytes[from:t.end[i]]
}

// CodeErrors moves reasons why rows were kept out in or out of a file.
func CodeErrors(c fitfile.Coder, bad *[]RowError) {
	n := len(*bad)
	fitfile.Number(c, &n)
	if c.Reading() {
		*bad = nil
	}
	for k := 0; k < n && !c.Failed(); k++ {
		var e RowError
		if !c.Reading() {
			e = (*bad)[k]
		}
		c.Text(&e.File)
		fitfile.Number(c, &e.Line)
		c.Text(&e.Field)
		c.Text(&e.Found)
		c.Text(&e.Want)
		fitfile.Flag(c, &e.duplicate)
		fitfile.Number(c, &e.hash)
		if e.Line < 0 {
			c.Fail(fmt.Errorf("a row in line %d", e.Line))
		}
		if c.Reading() {
			*bad = append(*bad, e)
		}
	}
}
