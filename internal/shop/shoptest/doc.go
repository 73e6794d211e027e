// Package shoptest opens shops for tests: on a real store in a folder of its own, with a clock that
// the test sets.
//
// In goes a test; out comes a Bench, which ends the test on errors. Read New.
package shoptest
