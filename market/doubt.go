package market

import "midcase/market/algebra"

// ownNoise is the part of the posterior variance of a node that comes from the errors
// of its reference's own sales. With few sales it is t-distributed as they are, and
// its scale is the reference's, as uncertain for it as for the next sale.
func (m *Model) ownNoise(p algebra.Path) float64 {
	var own float64
	for k, v := range p.Node {
		l := m.nodes.level[v]
		if l != algebra.LevelVariant && l != algebra.LevelReference {
			break
		}
		own += p.Coef[k] * p.Coef[k] / m.sys.D[v]
		if l == algebra.LevelReference {
			own *= 1 - m.sys.Share(v) // what is left hangs on the spread of references
		}
	}
	return own
}

// levelDoubt is what the uncertainty of the variances of the levels adds to the
// posterior variance of a node. The mean of a variance that k nodes tell lies 2/(k−2)
// of itself above its estimate, and a node feels that as far as it follows its parent.
func (m *Model) levelDoubt(p algebra.Path) float64 {
	var sum float64
	for k, v := range p.Node {
		if m.sys.Parent[v] < 0 {
			break
		}
		n := m.tellers(int(m.nodes.level[v]))
		sum += p.Coef[k] * p.Coef[k] / m.sys.D[v] * m.sys.Share(v) * 2 / (n - 2)
	}
	return sum
}

// tellers is the number of nodes that tell of the variance of a level; four is the
// least with which the variance has a useful mean.
func (m *Model) tellers(level int) float64 { return max(4, float64(m.levelNodes[level]+1)) }
