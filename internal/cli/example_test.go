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
	// midcase: basis "wholesale": want one of retail, trade, private, auction-hammer, auction-all-in, insurance
	// exit code 2
}
