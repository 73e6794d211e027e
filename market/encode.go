package market

import (
	"errors"
	"fmt"
	"io"
	"midcase/market/fitfile"
	"midcase/market/table"

	"midcase/market/algebra"
	"midcase/money"
)

// ErrNotFit is wrapped by Decode for what is no FIT file, or one of another
// version, or one that is damaged.
var ErrNotFit = fitfile.ErrNot

// Encode writes the model with the sales that it rests on, so that Decode gives one
// that values and compares in the same way.
func (m *Model) Encode(w io.Writer) error {
	return fitfile.Write(w, func(c fitfile.Coder) {
		m.code(c)
		m.table.Code(c)
	})
}

// Decode reads what Encode writes.
func Decode(r io.Reader) (*Model, error) {
	m := &Model{sys: &algebra.System{}, table: table.EmptyTable()}
	err := fitfile.Read(r, func(c fitfile.Coder) {
		m.code(c)
		m.table.Code(c)
	})
	if err != nil {
		return nil, err
	}
	if err := m.restore(); err != nil {
		return nil, fmt.Errorf("read fit: %w: %w", ErrNotFit, err)
	}
	return m, nil
}

func (m *Model) code(c fitfile.Coder) {
	cur := string(m.currency)
	c.Text(&cur)
	m.currency = money.Currency(cur)
	for _, v := range []*float64{&m.centre, &m.condMid, &m.origMid, &m.yearMid, &m.condVar, &m.origVar, &m.yearVar,
		&m.scaleMid, &m.scaleVar, &m.scaleMidVar,
		&m.dof, &m.wild, &m.smear, &m.curve.Estimate, &m.curve.SE, &m.curve.Z, &m.curve.P} {
		fitfile.Float(c, v)
	}
	for _, v := range []*int{&m.first, &m.last, &m.quarters, &m.anchor, &m.binFirst, &m.binWidth, &m.bins, &m.raw,
		&m.pattern[0], &m.pattern[1], &m.pattern[2], &m.pattern[3]} {
		fitfile.Number(c, v)
	}
	fitfile.Number(c, &m.scheme.base)
	fitfile.Counts(c, &m.gap)
	for k := range m.off {
		fitfile.Number(c, &m.off[k])
	}
	fitfile.Flag(c, &m.curve.Tested)
	fitfile.Flag(c, &m.curve.Used)
	for _, f := range []*factor{&m.metal, &m.dial, &m.completeness, &m.channel, &m.country} {
		fitfile.List(c, &f.level)
		fitfile.Counts(c, &f.count)
	}
	x := &m.nodes
	fitfile.List(c, &x.name)
	fitfile.List(c, &x.metal)
	c.I32(&x.parent)
	c.U8(&x.level)
	fitfile.Counts(c, &x.count)
	m.codeSystem(c)
	c.F64(&m.theta)
	c.F64(&m.b)
	c.F64(&m.logScale)
	c.F64(&m.scaleN)
	c.F64(&m.class)
	c.I32(&m.row)
	codeObs(c, &m.obs)
}

// codeSystem keeps the information of the data and the precisions; what follows
// from them is computed again.
func (m *Model) codeSystem(c fitfile.Coder) {
	s := m.sys
	fitfile.Number(c, &s.P)
	link := s.Link[:]
	c.F64(&link)
	copy(s.Link[:], link)
	c.F64(&s.Weight)
	c.F64(&s.Info)
	lambda := make([]float64, len(m.comps))
	for k := range m.comps {
		lambda[k] = m.comps[k].Lambda
	}
	c.F64(&lambda)
	if c.Reading() {
		m.comps = make([]algebra.Component, len(lambda))
		for k := range lambda {
			m.comps[k].Lambda = lambda[k]
		}
	}
	for k := range m.comps {
		c.F64(&m.comps[k].Steps)
		fitfile.Float(c, &m.comps[k].Phi)
	}
	n := len(s.Cross)
	fitfile.Number(c, &n)
	if len(s.Cross) != n && n >= 0 && n < 1<<28 {
		s.Cross = nil
	}
	for k := 0; k < n; k++ {
		var v algebra.Sparse
		if k < len(s.Cross) {
			v = s.Cross[k]
		}
		c.I32(&v.At)
		c.F64(&v.Val)
		if c.Reading() {
			if c.Failed() {
				return
			}
			s.Cross = append(s.Cross, v)
		}
	}
}

func codeObs(c fitfile.Coder, o *[]obs) {
	n := len(*o)
	y, leaf, class := make([]float64, n), make([]int32, n), make([]uint16, n)
	var num [3][]float32
	var idx [featCount][]uint16
	for k := range num {
		num[k] = make([]float32, n)
	}
	for k := range idx {
		idx[k] = make([]uint16, n)
	}
	for i, x := range *o {
		y[i], leaf[i], class[i] = x.y, x.leaf, x.class
		for k := range num {
			num[k][i] = x.num[k]
		}
		for k := range idx {
			idx[k][i] = x.idx[k]
		}
	}
	c.F64(&y)
	c.I32(&leaf)
	c.U16(&class)
	short := len(leaf) != len(y) || len(class) != len(y)
	for k := range num {
		c.F32(&num[k])
		short = short || len(num[k]) != len(y)
	}
	for k := range idx {
		c.U16(&idx[k])
		short = short || len(idx[k]) != len(y)
	}
	if !c.Reading() {
		return
	}
	if short {
		c.Fail(errors.New("columns of unequal length"))
		return
	}
	*o = make([]obs, len(y))
	for i := range *o {
		x := obs{y: y[i], leaf: leaf[i], class: class[i]}
		for k := range num {
			x.num[k] = num[k][i]
		}
		for k := range idx {
			x.idx[k] = idx[k][i]
		}
		(*o)[i] = x
	}
}
