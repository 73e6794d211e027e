// Package cli is the command line: <noun> <verb>, parsed by kong. Each command reads
// its input, calls the shop or a computing package, and prints: text for people, or
// one JSON document with --json. It is the only place that opens stores and starts
// servers.
//
// Exit codes: 0 done, 1 failed, 2 used wrongly. Results go to standard output;
// messages, progress and warnings to standard error. Colour and progress appear only
// on a terminal.
//
// Read Main first; each command stands in the file of its noun.
package cli
