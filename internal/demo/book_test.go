package demo

import (
	"testing"

	"midcase/refbook"
)

func TestBookLoads(t *testing.T) {
	b, err := refbook.Load(Book())
	if err != nil {
		t.Fatal(err)
	}
	_ = b
}
