// Package layout holds no code, only the test that keeps imports running one way:
// it reads `go list -deps` and compares it with the table of layers, and fails too
// when a package of the table is gone.
package layout
