package fitfile_test

import (
	"bytes"
	"errors"
	"fmt"

	"midcase/market/fitfile"
)

// kept is what the file holds; both ways go through code.
type kept struct {
	name   string
	prices []float64
	months int
}

func (k *kept) code(c fitfile.Coder) {
	c.Text(&k.name)
	c.F64(&k.prices)
	fitfile.Number(c, &k.months)
}

func Example() {
	var file bytes.Buffer
	out := kept{"Aster", []float64{1200.5, 1300}, 7}
	fmt.Println(fitfile.Write(&file, out.code))

	damaged := bytes.Clone(file.Bytes())
	damaged[len(damaged)-6] ^= 1

	var in kept
	fmt.Println(fitfile.Read(&file, in.code), in)
	fmt.Println(errors.Is(fitfile.Read(bytes.NewReader(damaged), new(kept).code), fitfile.ErrNot))
	// Output:
	// <nil>
	// <nil> {Aster [1200.5 1300] 7}
	// true
}
