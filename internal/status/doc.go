// Package status is what those who keep a server running look at: whether it lives, whether it can serve, and how it
// fares. Nothing of the shop is in it: no name, no address of a page, no figure of money.
package status
