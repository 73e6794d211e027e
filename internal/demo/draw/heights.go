package draw

// Heights above the table in mm; they count only where Shot.Relief is not 0.
func (w Watch) zLugs() float64    { return 0.36 * w.ThicknessMM }
func (w Watch) zMidCase() float64 { return 0.45 * w.ThicknessMM }
func (w Watch) zDial() float64    { return 0.62 * w.ThicknessMM }
func (w Watch) zHands() float64   { return 0.68 * w.ThicknessMM }
func (w Watch) zBezel() float64   { return 0.78 * w.ThicknessMM }
func (w Watch) zCrystal() float64 { return 0.95 * w.ThicknessMM }
