// Package bookdir keeps the reference book of a shop as a folder of YAML files, with
// every earlier version of each file beside it.
//
// In goes the text of a file with who wrote it and why; out come the files as they
// stand and the versions that stood before. A file is replaced in one step or not at all,
// and never over a version that the writer has not seen. The folder stays one that an
// editor can change by hand: what it finds changed it keeps as a version of its own before
// it writes.
//
// It does not read the YAML; package refbook does. Read (*Dir).Write first.
package bookdir
