// Package deal says what a watch may cost a dealer who wants to earn on it, by which
// route it sells best, what to ask for it, and what the whole stock comes to.
//
// What goes in: the predictive distribution of the sale price, costs of work as
// ranges, fees, the yearly cost of money, how long such watches take to sell, a tax
// scheme, the margin that is wanted and how surely, and a seed. What comes out:
//
//   - Buy: the highest price to pay, and at the asked or that price the chance of
//     loss, the expected profit with its 90 % range, the months to sell, the costs, and
//     how much of the uncertainty comes from where.
//   - Ladder: over asking prices the chance never to sell, days and net result; the best
//     ask, at which it says what Buy says, and when to cut.
//   - CompareRoutes: the same for own site, private client, auction and trade, each
//     with its own price, fees, currency and time; which is best for the money and time
//     it binds, by how much, with what chance, and why.
//   - FitTimeToSell: how long watches take to sell, from the shop's own history with
//     unsold and late-entered watches, shrunk to a stated prior.
//   - Portfolio: the value of the whole stock as a range in which watches move together,
//     its concentration, and what a fall of one metal's premium would do.
//   - Tax.Due, Tax.DueExact and BuyersPremium: tax and premium by the examples of the
//     method page.
//
// The method is seeded Monte Carlo: the same input gives the same figures on any
// machine with any number of processors. A Listing is how a watch is offered at an
// ask until it sells or is given up; Buy, Ladder and CompareRoutes share its draws.
// For each draw the highest price that still keeps the margin has a closed form, so
// the answer is one quantile of those and no search. The time to sell is a Weibull
// accelerated-failure model by Newton's method.
//
// It refuses to know the market (the sale price comes in), tax law (schemes are
// examples to be set up with a tax adviser; rules differ by country and change) or
// what else could go wrong. Its figures are estimates for a dealer's own decision,
// no valuation and no advice.
//
// Read Buy first, then Input.
package deal
