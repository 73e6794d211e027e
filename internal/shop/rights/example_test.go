package rights_test

import (
	"context"
	"fmt"

	"midcase/internal/shop/rights"
)

func ExampleCheck() {
	ctx := rights.With(context.Background(), rights.Viewer)
	fmt.Println(rights.Check(ctx, rights.See))
	fmt.Println(rights.Check(ctx, rights.Ledger))
	// Output:
	// <nil>
	// your role is viewer; to see the ledger and book money you need to be owner or bookkeeper
}
