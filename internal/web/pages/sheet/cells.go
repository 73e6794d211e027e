package sheet

import (
	"fmt"
	"strings"

	"midcase/evidence"
	"midcase/refbook"
)

// sizes, weights and positions are those that are taken at the desk, in the order of the hand.
var (
	sizes = []string{"mid_case_diameter", "lug_to_lug", "lug_width", "lug_thickness", "thickness",
		"crown_diameter", "dial_diameter", "bevel_width", "bracelet_width_at_lugs", "bracelet_width_at_clasp"}
	weights   = []string{"watch", "head", "case", "case_back", "movement", "bracelet"}
	positions = []string{"CH", "FH", "3H", "6H", "9H", "12H"}
)

// Cells are the grid: figures that are typed in any order. What is left empty is not recorded.
func Cells(ref *refbook.Reference, file evidence.File) []CellGroup {
	numbers := CellGroup{Name: "Numbers and stamps", Cells: []Cell{
		{Name: "mark.serial.case", Label: "serial number"}, {Name: "mark.reference_number.case",
			Label: "reference number"},
		{Name: "mark.hallmark.case", Label: "hallmark, case"}, {Name: "mark.date_stamp.case_back",
			Label: "date stamp, back"},
		{Name: "mark.hallmark.case_back", Label: "hallmark, back"}, {Name: "mark.movement_number.movement",
			Label: "movement number"},
		{Name: "mark.calibre.movement", Label: "calibre"}, {Name: "mark.date_stamp.clasp",
			Label: "date stamp, clasp"}}}
	mm := CellGroup{Name: "Sizes, mm"}
	for _, what := range sizes {
		c := Cell{Name: "dimension." + what, Label: strings.ReplaceAll(what, "_", " "), Unit: "mm"}
		if ref != nil {
			for _, d := range ref.Dimensions {
				if d.What == what {
					c.Book = fmt.Sprintf("%g", d.MM)
				}
			}
		}
		mm.Cells = append(mm.Cells, c)
	}
	g := CellGroup{Name: "Weights in air, g"}
	for _, what := range weights {
		c := Cell{Name: "weighing." + what, Label: strings.ReplaceAll(what, "_", " "), Unit: "g"}
		if ref != nil {
			for _, w := range ref.Weights {
				if w.Part == what {
					c.Book = fmt.Sprintf("%g", w.G)
				}
			}
		}
		g.Cells = append(g.Cells, c)
	}
	rates := CellGroup{Name: "Rates: s/day, amplitude, beat error"}
	for _, p := range positions {
		rates.Cells = append(rates.Cells, Cell{Name: "rate." + p, Label: p, Hint: "+4 265 0.3"})
	}
	tries := CellGroup{Name: "Tried", Cells: []Cell{{Name: "trial.power_reserve", Label: "power reserve", Unit: "h"},
		{Name: "trial.pressure", Label: "pressure test passed, today", Unit: "bar"},
		{Name: "trial.radiation", Label: "radiation at the dial", Unit: "µSv/h"}}}
	out := []CellGroup{numbers, mm, g, rates, tries}
	for i := range out {
		for j := range out[i].Cells {
			out[i].Cells[j].Kept = kept(out[i].Cells[j].Name, file)
		}
	}
	return out
}

// kept is what the file has for a cell, the latest.
func kept(name string, file evidence.File) string {
	for _, it := range file.Items {
		switch d := it.Data.(type) {
		case *evidence.Mark:
			if name == "mark."+d.What+"."+string(d.Slot) || name == "mark.serial.case" &&
				d.What == evidence.MarkSerial {
				return d.Text
			}
		case *evidence.Dimension:
			if name == "dimension."+d.What {
				return fmt.Sprintf("%g", d.MM)
			}
		case *evidence.Weighing:
			if name == "weighing."+d.What && d.In == "air" {
				return fmt.Sprintf("%g", d.G)
			}
		case *evidence.Rate:
			if name == "rate."+d.Position {
				return fmt.Sprintf("%+g", d.SecPerDay)
			}
		case *evidence.Trial:
			if name == "trial."+d.What && d.Value > 0 {
				return fmt.Sprintf("%g", d.Value)
			}
		}
	}
	return ""
}
