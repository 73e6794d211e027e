// Package layout holds no code, only tests that hold the shape of the others: imports
// run down the table of layers, the pages know nothing of one another, functions, types
// and lines stay short. It reads `go list -deps` and the files themselves, and fails too
// when a package of the table is gone or has no place in it.
package layout
