// Package licences holds the licences of what others wrote and this program contains:
// Go modules, the libraries inside them, fonts and browser packages.
//
// In: what the program licences/gather wrote at build time into the folder gathered.
// Out: one Part for each module or package, with the full texts. It refuses nothing: a
// program that was built without gathering has no texts and says so (ErrNotGathered).
// Read Gathered first.
package licences
