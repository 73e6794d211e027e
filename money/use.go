package money

import (
	"maps"
	"slices"
)

// replaced are the national codes that the euro replaced by 2023; records of old sales use them.
var replaced = []Currency{"ATS", "BEF", "CYP", "DEM", "EEK", "ESP", "FIM", "FRF", "GRD", "HRK", "IEP", "ITL", "LTL",
	"LUF", "LVL", "MTL", "NLG", "PTE", "SIT", "SKK"}

// InUse lists the currencies in which books can be kept today, by code.
func InUse() []Currency {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(minorUnits)), func(c Currency) bool {
		return slices.Contains(replaced, c)
	})
}
