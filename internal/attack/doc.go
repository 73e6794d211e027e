// Package attack holds the program against people and accidents that mean it harm: each test does what was once found
// to work, and fails if it works again.
//
// In goes a shop that is served as a dealer serves it; nothing comes out. docs/security.md names for each promise the
// tests that hold it. Read attack_test.go first, which opens the shop.
package attack
