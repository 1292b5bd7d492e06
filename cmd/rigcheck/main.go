// Command rigcheck checks, solves, repairs and exports rigs without a window.
package main

import (
	"os"

	"rigline/cmd/internal/command"
	"rigline/rules"
)

func main() {
	rules.Roomy()
	os.Exit(command.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
