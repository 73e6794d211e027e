package intake

import (
	"midcase/photo"
	"midcase/refbook"
)

// KnownSizes are the sizes of a reference by which Find chooses between what it sees.
func KnownSizes(ref *refbook.Reference) photo.KnownSizes {
	var s photo.KnownSizes
	if ref == nil {
		return s
	}
	for _, d := range ref.Dimensions {
		switch d.What {
		case "mid_case_diameter":
			s.MidCaseMM = d.MM
		case "lug_width":
			s.LugWidthMM = d.MM
		case "lug_to_lug":
			s.LugToLugMM = d.MM
		case "crown_diameter":
			s.CrownMM = d.MM
		case "dial_diameter":
			s.DialMM = d.MM
		}
	}
	return s
}
