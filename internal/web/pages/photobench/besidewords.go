package photobench

import (
	"fmt"
	"net/url"

	"midcase/photo"
)

func besideBase(d BesideData) string {
	return back(string(d.Watch.ID)) + "/photos/" + url.PathEscape(d.Photo.Blob) + "/beside"
}

// besideSelf leads to the choice of the other dial, with this one placed already.
func besideSelf(d BesideData) string { return besideBase(d) + "?" + d.ownPlace().Encode() }

func (d BesideData) ownPlace() url.Values {
	q := url.Values{}
	for _, name := range []string{"edge", "twelve", "six", "dial_mm"} {
		if v := d.Form.Values.Get(name); v != "" {
			q.Set(name, v)
		}
	}
	return q
}

func withPath(d BesideData, c Other) string {
	q := d.ownPlace()
	q.Set("with", c.Watch+"/"+c.Blob)
	return besideBase(d) + "?" + q.Encode()
}

func viewPath(d BesideData, v photo.View) string {
	return besideBase(d) + "/" + string(v) + ".jpg?" + d.Query
}

func agreementSays(o photo.Overlaid) string {
	if !o.Refined {
		return "The print could not be brought together; the dials lie on each other by their edges alone, so that small differences mean little."
	}
	return fmt.Sprintf("The print comes together to %.2f px; %s differ.", o.ResidualPx, placesSaid(len(o.Differences)))
}

func placesSaid(n int) string {
	switch n {
	case 0:
		return "no places"
	case 1:
		return "one place seems to"
	}
	return fmt.Sprintf("%d places", n)
}

// across is the size of a difference.
func across(x photo.Difference) string {
	if x.RadiusMM > 0 {
		return fmt.Sprintf("%.1f mm", 2*x.RadiusMM)
	}
	return fmt.Sprintf("%.0f px", 2*x.RadiusPx)
}
