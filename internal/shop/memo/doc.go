// Package memo is the one cache of the shop.
//
// In go a key (what is computed), a mark (what it follows from: parts of the store's revision, a
// day, a sum of the settings) and a function that computes it; out comes the value at that mark.
// Of each key only the latest value is kept, and of all keys no more than a bound. There is one
// computation at a time for each key. It refuses nothing and keeps no error.
//
// A value may be newer than its mark, since its function reads the store after the mark was read,
// but never older. Callers share the values and do not change them.
//
// Read Cache.Get first, then Cache.Soon, which waits for a while and then shows what there was.
package memo
