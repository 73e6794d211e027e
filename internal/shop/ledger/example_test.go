package ledger_test

import (
	"fmt"

	"github.com/govalues/decimal"

	"midcase/internal/shop/ledger"
	"midcase/money"
)

// A watch bought for £1,500 and sold for £2,000 owes £83.33 under the margin scheme.
func ExampleSale() {
	head := ledger.Head{ID: "le_1", Day: "2026-01-10", Watch: "w_1", Party: "c_1", Base: "GBP"}
	bought, err := ledger.Purchase(ledger.PurchaseTerms{Head: head, Price: money.MustParse("1500", "GBP"),
		Pay: ledger.Bank, Scheme: ledger.Margin})
	if err != nil {
		fmt.Println(err)
		return
	}
	holding, _ := ledger.HoldingOf("w_1", []ledger.Entry{bought})
	head = ledger.Head{ID: "le_2", Day: "2026-02-10", Watch: "w_1", Party: "c_2", Base: "GBP"}
	sold, err := ledger.Sale(ledger.SaleTerms{Head: head, Price: money.MustParse("2000", "GBP"), Pay: ledger.Bank,
		TaxRate: decimal.MustParse("0.20"), Holding: holding})
	fmt.Println(sold.Goods.Tax, err)
	for _, l := range sold.Lines {
		fmt.Println(l.Account, l.Amount)
	}
	// Output:
	// 83.33 GBP <nil>
	// assets:bank 2000.00 GBP
	// income:sales -2000.00 GBP
	// income:sales 83.33 GBP
	// liabilities:vat -83.33 GBP
	// expenses:cost_of_sales 1500.00 GBP
	// assets:stock:purchase -1500.00 GBP
}
