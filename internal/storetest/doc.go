// Package storetest says what every store of Midcase must do, as tests: Run for the
// shop's records, RunBlobs for blobs. Each engine's tests call it with a function
// that opens an empty store.
//
// It also holds Memory, a blob store in memory for other packages' tests. It refuses
// to know which engine it tests: what only one engine can do is tested beside that
// engine. Read Run first.
package storetest
