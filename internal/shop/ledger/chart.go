package ledger

import (
	_ "embed"
	"encoding/csv"
	"fmt"
	"strings"
)

// Account is the id of an account, such as assets:bank.
type Account string

// The accounts that the posting rules use. chart.csv says what each is for.
const (
	Cash          Account = "assets:cash"
	Bank          Account = "assets:bank"
	Receivable    Account = "assets:receivable"
	StockPurchase Account = "assets:stock:purchase"
	StockWork     Account = "assets:stock:work"
	StockLowered  Account = "assets:stock:written_down"
	VATInput      Account = "assets:vat_input"
	VATDeposits   Account = "assets:vat_deposits"
	Payable       Account = "liabilities:payable"
	Consignors    Account = "liabilities:consignors"
	Partners      Account = "liabilities:partners"
	Deposits      Account = "liabilities:deposits"
	VATDue        Account = "liabilities:vat"
	Loans         Account = "liabilities:loans"
	WageTaxes     Account = "liabilities:wage_taxes"
	Capital       Account = "equity:capital"
	Retained      Account = "equity:retained"
	Conversion    Account = "equity:conversion"
	Sales         Account = "income:sales"
	Commission    Account = "income:commission"
	OtherIncome   Account = "income:other"
	InterestIn    Account = "income:interest"
	ExchangeDiff  Account = "income:exchange"
	ExchangeOpen  Account = "income:exchange_unrealised"
	CostOfSales   Account = "expenses:cost_of_sales"
	Fees          Account = "expenses:fees"
	OtherWork     Account = "expenses:work"
	Loss          Account = "expenses:loss"
	Overheads     Account = "expenses:overheads"
	GoodsOfOthers Account = "memoranda:goods_of_others"
	OwnersOfGoods Account = "memoranda:owners_of_goods"
)

// inStock reports whether an account holds what watches in stock have cost.
func inStock(a Account) bool { return a == StockPurchase || a == StockWork || a == StockLowered }

// ofMoney reports whether an account holds money, which is carried in lots where it is of another currency.
func ofMoney(a Account) bool { return a == Bank || a == Cash }

// Class is what kind of account one is.
type Class string

// The classes of accounts. A memorandum account is off the balance sheet.
const (
	Asset      Class = "asset"
	Liability  Class = "liability"
	Equity     Class = "equity"
	Income     Class = "income"
	Expense    Class = "expense"
	Memorandum Class = "memorandum"
)

// ChartRow is one account of the chart.
type ChartRow struct {
	Account Account `json:"account"`
	Class   Class   `json:"class"`
	Name    string  `json:"name"`
}

//go:embed chart.csv
var chartText string

var chartRows, chartClass = readChart(chartText)

// Chart returns the accounts in their order.
func Chart() []ChartRow { return append([]ChartRow(nil), chartRows...) }

// ClassOf is the class of an account, empty for one that the chart does not have.
func ClassOf(a Account) Class { return chartClass[a] }

func readChart(text string) ([]ChartRow, map[Account]Class) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		panic(fmt.Sprintf("chart.csv: %v", err)) // a file of the program, which a test reads
	}
	classes := map[Account]Class{}
	var out []ChartRow
	for _, r := range rows[1:] {
		row := ChartRow{Account(r[0]), Class(r[1]), r[2]}
		out, classes[row.Account] = append(out, row), row.Class
	}
	return out, classes
}
