// Package algebra solves the equations of a mixed model whose effects are nested in a
// tree and crossed with a few dense coefficients, and estimates its variances.
//
// In: a System, that is the information that the data carry on each node of the tree
// and on the coefficients β, with prior precisions; and Components, the blocks of β
// that share an unknown variance. Out: the solution (Solve), posterior variances of
// any effect (PathOf, Variance), and the next step of the variances (UpdateComponents,
// UpdateNested). The nodes are eliminated from the leaves up, in time of their own few
// non-zeros; what is left is dense in β.
//
// It knows nothing of prices or watches, but that the tree has five levels. It refuses
// a system that is not positive definite: Factor then reports false.
//
// Read System.Eliminate first.
package algebra
