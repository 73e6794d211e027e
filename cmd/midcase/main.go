// Command midcase is the workbench of a dealer in vintage mechanical watches.
package main

import (
	"os"

	"midcase/internal/cli"
)

func main() { os.Exit(cli.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
