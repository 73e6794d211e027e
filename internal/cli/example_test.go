package cli_test

import (
	"os"
	"strings"

	"midcase/internal/cli"
)

func ExampleMain() {
	code := cli.Main([]string{"appraise", "watch.json", "--basis", "wholesale"}, strings.NewReader(""), os.Stdout,
		os.Stdout)
	os.Stdout.WriteString("exit code " + string(rune('0'+code)) + "\n")
	// Output:
	// midcase: --basis: “wholesale” is not a basis of value. Use one of: retail, trade, private, auction-hammer, auction-all-in, insurance
	// For help: midcase appraise --help
	// exit code 2
}
