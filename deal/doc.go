// Package deal says what a watch may cost a dealer who wants to earn on it.
//
// What goes in: the predictive distribution of the sale price, costs of work as
// ranges, fees, the yearly cost of money, how long such watches take to sell, a tax
// scheme, the margin that is wanted and how surely, and a seed. What comes out: Buy
// gives the highest price to pay, and at the asked or that price the chance of
// loss, the expected profit with its 90 % range, the months to sell, the costs as
// ranges, and how much of the uncertainty comes from where.
//
// The method is seeded Monte Carlo: the same input gives the same figures on any
// machine with any number of processors. For each draw the highest price that still
// keeps the margin has a closed form, so the answer is one quantile of those and no
// search.
//
// It refuses to know the market (the sale price comes in), tax law (schemes are
// examples to be set up with a tax adviser; rules differ by country and change) or
// what else could go wrong. Its figures are estimates for a dealer's own decision,
// no valuation and no advice.
//
// Read Buy first, then Input.
package deal
