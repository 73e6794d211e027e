package proof_test

import (
	"fmt"
	"log"

	"midcase/internal/proof"
)

// A head is signed by the shop and read by whoever has the public key.
func ExampleOpenHead() {
	key, _, err := proof.NewKey()
	if err != nil {
		log.Fatal(err)
	}
	signed, err := key.SignHead(proof.Head{Size: 120, Root: "q83vEiPx"})
	if err != nil {
		log.Fatal(err)
	}
	head, err := proof.OpenHead(signed, key.Public())
	fmt.Println(head, err)
	// Output:
	// 120:q83vEiPx <nil>
}
