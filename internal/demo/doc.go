// Package demo makes the invented world that Midcase shows and tests itself on:
// six makers with their reference book, a market of sales, watches in stock with
// their evidence, clients, pictures and sounds.
//
// What goes in: a seed. What comes out: NewWorld gives the World, the same bytes for
// the same seed, with the truth that the program has to find out: when each watch
// was made, what was replaced, what it is worth. WritePlain writes it as files that
// need no shop.
//
// It refuses to resemble the real trade: no maker, model, person, shop or price in
// it exists. The truth behind the prices is documented in docs/demo-world.md.
//
// Read World first, then NewWorld.
package demo
