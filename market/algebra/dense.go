package algebra

import (
	"sync"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/gonum"
)

// The dense algebra of the coefficients: Cholesky factor and inverse of a p×p
// matrix by halves, the two of which are worked on side by side. The halves depend
// on p alone, so results do not depend on the number of processors.

// minSplit is the size from which splitting pays.
const minSplit = 96

// block is a part of a row-major matrix.
type block struct {
	rows, cols, stride int
	data               []float64
}

func square(n int, data []float64) block { return block{n, n, n, data} }

// part is the block of the given size that starts at row i and column j.
func (b block) part(i, j, rows, cols int) block {
	return block{rows, cols, b.stride, b.data[i*b.stride+j:]}
}

func (b block) general() blas64.General {
	return blas64.General{Rows: b.rows, Cols: b.cols, Stride: b.stride, Data: b.data}
}

func (b block) triangular() blas64.Triangular {
	return blas64.Triangular{N: b.rows, Stride: b.stride, Data: b.data, Uplo: blas.Upper, Diag: blas.NonUnit}
}

func (b block) symmetric() blas64.Symmetric {
	return blas64.Symmetric{N: b.rows, Stride: b.stride, Data: b.data, Uplo: blas.Upper}
}

// quarters cuts a square block in four; the lower left is not used in an upper
// triangle.
func (b block) quarters() (a, right, d block) {
	h := b.rows / 2
	r := b.rows - h
	return b.part(0, 0, h, h), b.part(0, h, h, r), b.part(h, h, r, r)
}

// byColumns and byRows run do on the two halves of a block side by side.
func (b block) byColumns(do func(block)) {
	h := b.cols / 2
	Both(func() { do(b.part(0, 0, b.rows, h)) }, func() { do(b.part(0, h, b.rows, b.cols-h)) })
}

func (b block) byRows(do func(block)) {
	h := b.rows / 2
	Both(func() { do(b.part(0, 0, h, b.cols)) }, func() { do(b.part(h, 0, b.rows-h, b.cols)) })
}

// Both runs two pieces of work side by side.
func Both(one, other func()) {
	var wg sync.WaitGroup
	wg.Go(one)
	other()
	wg.Wait()
}

// factorise turns the upper triangle of a symmetric matrix into its Cholesky factor
// U, A = U′U. It reports false where A is not positive definite.
func (b block) factorise() bool {
	if b.rows < minSplit {
		return gonum.Implementation{}.Dpotrf(blas.Upper, b.rows, b.data, b.stride)
	}
	a, right, d := b.quarters()
	if !a.factorise() {
		return false
	}
	right.byColumns(func(x block) { blas64.Trsm(blas.Left, blas.Trans, 1, a.triangular(), x.general()) })
	h := right.cols / 2
	x, y := right.part(0, 0, right.rows, h), right.part(0, h, right.rows, right.cols-h)
	p, q, r := d.part(0, 0, h, h), d.part(0, h, h, d.rows-h), d.part(h, h, d.rows-h, d.rows-h)
	Both(func() {
		blas64.Syrk(blas.Trans, -1, x.general(), 1, p.symmetric())
		blas64.Syrk(blas.Trans, -1, y.general(), 1, r.symmetric())
	}, func() { blas64.Gemm(blas.Trans, blas.NoTrans, -1, x.general(), y.general(), 1, q.general()) })
	return d.factorise()
}

// invertTriangle turns the upper triangle U into U⁻¹. It reports false where U is
// singular.
func (b block) invertTriangle() bool {
	if b.rows < minSplit {
		return gonum.Implementation{}.Dtrtri(blas.Upper, blas.NonUnit, b.rows, b.data, b.stride)
	}
	a, right, d := b.quarters()
	var okA, okD bool
	Both(func() { okA = a.invertTriangle() }, func() { okD = d.invertTriangle() })
	if !okA || !okD {
		return false
	}
	right.byColumns(func(x block) { blas64.Trmm(blas.Left, blas.NoTrans, -1, a.triangular(), x.general()) })
	right.byRows(func(x block) { blas64.Trmm(blas.Right, blas.NoTrans, 1, d.triangular(), x.general()) })
	return true
}

// timesTranspose turns the upper triangle U into that of U·U′.
func (b block) timesTranspose() {
	if b.rows < minSplit {
		gonum.Implementation{}.Dlauum(blas.Upper, b.rows, b.data, b.stride)
		return
	}
	a, right, d := b.quarters()
	old := block{right.rows, right.cols, right.cols, make([]float64, right.rows*right.cols)}
	for i := range old.rows {
		copy(old.data[i*old.stride:(i+1)*old.stride], right.data[i*right.stride:])
	}
	Both(func() {
		a.timesTranspose()
		blas64.Syrk(blas.NoTrans, 1, old.general(), 1, a.symmetric())
	}, func() {
		blas64.Trmm(blas.Right, blas.Trans, 1, d.triangular(), right.general())
		d.timesTranspose()
	})
}

// mirror copies the upper triangle to the lower one.
func (b block) mirror() {
	for i := range b.rows {
		for j := range i {
			b.data[i*b.stride+j] = b.data[j*b.stride+i]
		}
	}
}
