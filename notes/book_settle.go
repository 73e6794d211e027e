package notes

import (
	"strings"

	"midcase/edtf"
	"midcase/evidence"
)

// settle gives each version of a part the time in which it was fitted: what was said,
// else from the end of the version before to the begin of the next, else as long as the
// reference was made.
func (c *chapter) settle() {
	var slots []evidence.Slot
	by := map[evidence.Slot][]*partDraft{}
	for _, d := range c.parts {
		sized := strings.Trim(d.name, "0123456789.,") == ""
		if sized && d.slot != evidence.EndPieces && !(d.slot == evidence.Crown && (d.t.begins || d.t.ends)) {
			continue // a size and nothing else
		}
		if d.slot == evidence.Movement { // how it is wound, said before the calibre
			if len(c.ref.Calibres) > 0 && c.ref.Calibres[0].Winding == "" {
				c.ref.Calibres[0].Winding = d.name
			}
			continue
		}
		if by[d.slot] == nil {
			slots = append(slots, d.slot)
		}
		by[d.slot] = append(by[d.slot], d)
	}
	c.shareTimes()
	for slot := range c.lost {
		if by[slot] == nil && slot != "" {
			slots = append(slots, slot)
		}
	}
	if c.ref.Made == nil && c.began != nil {
		c.ref.Made = &BookSpan{Value: c.began.start.start() + "/..", SoftMonths: c.began.start.soft,
			Ground: c.ground(c.began.first, c.began.last, 0.7)}
	}
	for _, slot := range slots {
		s := BookSlot{Slot: slot, Replaced: c.lost[slot], Variants: []BookVariant{}}
		for i, d := range by[slot] {
			s.Variants = append(s.Variants, c.variant(by[slot], i, d))
		}
		c.ref.Slots = append(c.ref.Slots, s)
	}
}

// shareTimes gives a bracelet the time said behind the end pieces it came with:
// "riveted R-12, ends 55, till 1966".
func (c *chapter) shareTimes() {
	for i, d := range c.parts {
		if i > 0 && d.slot == evidence.EndPieces && d.t.any() {
			if b := c.parts[i-1]; b.slot == evidence.Bracelet && b.sentence == d.sentence && !b.t.any() {
				b.t = d.t
			}
		}
	}
}

func (c *chapter) variant(all []*partDraft, i int, d *partDraft) BookVariant {
	sure := 0.9
	if !d.t.any() {
		sure = 0.75
	}
	v := BookVariant{Name: d.name, Lume: d.lume, Service: d.service, Ground: c.ground(d.first, d.last, sure)}
	if d.service {
		if d.t.begins || d.t.ends {
			v.Supplied = c.window(d.t)
		}
		return v
	}
	w := BookWindow{Made: c.from(all, i) + "/" + c.to(all, i), SoftMonths: max(d.t.start.soft, d.t.end.soft), Share: d.share}
	if _, err := edtf.Parse(w.Made); err == nil && w.Made != "../.." {
		v.Windows = []BookWindow{w}
	} else if err != nil { // it ends before it begins: the name is right, the time is not
		v.Sure = 0.4
	}
	for _, again := range d.more {
		from, to := again.start.start(), c.madeTo()
		if again.ends {
			to = again.end.end()
		}
		if _, err := edtf.Parse(from + "/" + to); err == nil && v.Windows != nil {
			v.Windows = append(v.Windows, BookWindow{Made: from + "/" + to, SoftMonths: max(again.start.soft, again.end.soft)})
		}
	}
	v.Assumed = !d.t.any()
	return v
}

// from is when a version began, in EDTF.
func (c *chapter) from(all []*partDraft, i int) string {
	d := all[i]
	switch {
	case d.t.begins:
		return d.t.start.start()
	case d.t.early || d.t.whole || d.t.prior:
		return c.madeFrom()
	}
	if d.t.next && i == 0 && len(all) > 1 && all[1].t.ends && !all[1].t.begins {
		return all[1].t.end.start() // "the late ones are signed; before 1963 it was plain"
	}
	if p := beforeIn(all, i); p != nil && !d.t.beside && (d.t.next || p.t.ends) {
		if p.t.ends {
			return p.t.end.start()
		}
		if p.t.begins {
			return p.t.start.start()
		}
	}
	return c.madeFrom()
}

// to is when a version ended.
func (c *chapter) to(all []*partDraft, i int) string {
	d := all[i]
	if d.t.ends {
		return d.t.end.end()
	}
	if p := beforeIn(all, i); p != nil && d.t.amid && len(p.more) > 0 {
		return p.more[0].start.start()
	}
	if p := beforeIn(all, i); p != nil && d.t.prior && p.t.begins {
		return p.t.start.end()
	}
	if n := behindIn(all, i); n != nil && !d.t.whole && !d.t.lasting && !d.t.beside && n.t.begins && takesOver(d, n) {
		return n.t.start.end()
	}
	return c.madeTo()
}

// beforeIn and behindIn are the versions before and behind one that it follows or gives
// way to; those for repairs and those fitted beside others do not count.
func beforeIn(all []*partDraft, i int) *partDraft {
	for j := i - 1; j >= 0; j-- {
		if counts(all[j]) {
			return all[j]
		}
	}
	return nil
}

func behindIn(all []*partDraft, i int) *partDraft {
	for j := i + 1; j < len(all); j++ {
		if counts(all[j]) {
			return all[j]
		}
	}
	return nil
}

// takesOver reports whether a version with a begin ends the one before it. In a sentence of
// its own, "Silver dial; blue from 1970", it only came beside it, unless the sentence
// begins with the time or says that one followed the other.
func takesOver(d, n *partDraft) bool {
	return d.sentence == n.sentence || n.t.front || n.t.next || d.t.any()
}

// counts reports whether a version belongs to the line of versions that follow one
// another.
func counts(d *partDraft) bool {
	passing := d.t.begins && d.t.ends && (d.share > 0 || d.t.start.low == d.t.end.low)
	return !d.service && !d.t.beside && !d.t.prior && !passing
}

func (c *chapter) madeFrom() string {
	if c.ref.Made == nil {
		return ".."
	}
	from, _, _ := strings.Cut(c.ref.Made.Value, "/")
	return from
}

func (c *chapter) madeTo() string {
	if c.ref.Made == nil {
		return ".."
	}
	_, to, _ := strings.Cut(c.ref.Made.Value, "/")
	return to
}
