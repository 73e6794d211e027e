package metal

// The words by which marks name metals and layers, in capitals and without accents.
// Common practice, no published source, unless a line says more.

// elementWords name a precious metal; Pm is the older Japanese sign for platinum.
var elementWords = map[string]string{
	"AU": Gold, "GOLD": Gold, "OR": Gold, "ORO": Gold, "OURO": Gold, "GOUD": Gold, "GULD": Gold,
	"AG": Silver, "SILVER": Silver, "ARGENT": Silver, "SILBER": Silver, "ARGENTO": Silver, "PLATA": Silver,
	"PRATA": Silver, "ZILVER": Silver,
	"PT": Platinum, "PM": Platinum, "PLAT": Platinum, "PLATINUM": Platinum, "PLATINE": Platinum, "PLATIN": Platinum,
	"PLATINO": Platinum,
	"PD":      Palladium, "PALL": Palladium, "PALLADIUM": Palladium, "PALLADIO": Palladium,
}

// colouredGold are single words that name gold and its colour.
var colouredGold = map[string]string{
	"WEISSGOLD": "white", "WEIßGOLD": "white", "GELBGOLD": "yellow", "ROTGOLD": "rose", "ROSEGOLD": "rose",
	"ROSÉGOLD": "rose", "WHITEGOLD": "white", "YELLOWGOLD": "yellow",
}

// colourWords are the colours of gold.
var colourWords = map[string]string{
	"WHITE": "white", "YELLOW": "yellow", "ROSE": "rose", "PINK": "rose", "RED": "rose", "GRIS": "white",
	"BLANC": "white", "JAUNE": "yellow", "ROUGE": "rose", "BIANCO": "white", "GIALLO": "yellow", "ROSSO": "rose",
	"WG": "white", "YG": "yellow", "PG": "rose",
}

// layerWords say that the precious metal is a layer: the abbreviations and terms of ISO
// 3160 (gold alloy coverings), of the trade rules of the United States (filled, rolled
// plate, overlay, electroplate) and of European usage; from memory.
var layerWords = words("GF", "GP", "GEP", "HGE", "HGP", "HGEP", "RGP", "RG", "RGF", "GPF", "EPNS", "EP", "GCAP",
	"PLATED", "PLATE", "PLATING", "FILLED", "ROLLED", "ROLL", "PLAQUE", "PLAQUEE", "PLAQ", "PLQ",
	"GILT", "GILDED", "DORE", "DOREE", "VERMEIL", "DOUBLE", "DOUBLEE", "DUBLEE", "DUBLE", "ELECTROPLATED",
	"ELECTROPLATE",
	"ELECTROPLAQUE", "ELECTRO", "GALVANIC", "CAPPED", "CAP", "BONDED", "LAMINE", "LAMINEE", "LAMINATO", "LAMINATED",
	"LAMINADO", "CHAPADO", "CHAPEADO", "ENCHAPADO", "VERGOLDET", "VERGOLDUNG", "GOLDAUFLAGE", "AUFLAGE", "WALZGOLD",
	"WALZGOLDDOUBLE", "GOLDDOUBLE", "WALZ", "SHELL", "OVERLAY", "CLAD", "CLADDING", "WASH", "WASHED", "FLASH",
	"FLASHED",
	"TONE", "TONED", "PLACCATO", "PLACCATA", "DORATO", "DORADO", "BANADO", "FOLHEADO", "VERGULD", "DOUBLÉ",
	"GOLDPLATED", "GOLDFILLED", "GOLDCASED", "SILVERPLATED", "VERSILBERT", "ARGENTE", "SILVERED", "PVD", "COATED",
	"COATING", "COVERED", "FINISH", "FRONT", "MICRON", "MICRONS", "MIKRON", "MICR", "MIC", "MICRONI", "MICRAS", "MY",
	"\u039c", "\u039cM") // Μ is how µ folds

// steelWords say steel; 304, 316 and 316L are grades, 18/8 and 18/10 its chromium and
// nickel.
var steelWords = words("STEEL", "STAINLESS", "ACIER", "INOX", "INOXYDABLE", "EDELSTAHL", "STAHL", "ROSTFREI",
	"ACCIAIO",
	"ACERO", "RUSTLESS", "SS", "304", "316", "316L", "304L", "STAAL", "INOSSIDABILE", "INOXIDABLE")

// baseWords are other base metals. Alpaca, argentan, maillechort and the like are
// alloys of copper, nickel and zinc without silver.
var baseWords = map[string]string{
	"NICKEL": "nickel", "NICKELE": "nickel", "VERNICKELT": "nickel",
	"NEUSILBER": "nickel_silver", "ALPACA": "nickel_silver", "ALPAKA": "nickel_silver", "ALPACCA": "nickel_silver",
	"ARGENTAN": "nickel_silver", "MAILLECHORT": "nickel_silver", "PACKFONG": "nickel_silver",
	"PAKTONG": "nickel_silver", "MELCHIOR": "nickel_silver", "NICKELSILVER": "nickel_silver",
	"GERMANSILVER": "nickel_silver",
	"BRASS":        "brass", "LAITON": "brass", "MESSING": "brass", "OTTONE": "brass", "BRONZE": "brass",
	"COPPER": "brass",
	"CUIVRE": "brass", "KUPFER": "brass", "TOMBAK": "brass", "TOMBAC": "brass", "GUNMETAL": "base",
	"ALUMINIUM": "aluminium", "ALUMINUM": "aluminium", "TITANIUM": "titanium", "TITAN": "titanium",
	"TITANE":   "titanium",
	"TUNGSTEN": "base", "PEWTER": "base", "CHROME": "base", "CHROMIUM": "base", "CHROMED": "base", "VERCHROMT": "base",
	"BASE": "base", "UNEDEL": "base",
}

// notSilver are words before “silver” that make it an alloy without silver.
var notSilver = words("NICKEL", "GERMAN", "NEW", "TIBETAN", "TIBET", "NEVADA", "BRAZILIAN", "BOLIVIAN", "AFRICAN")

// slotWords name the part that a mark is about.
var slotWords = map[string]string{"BACK": "case_back", "FOND": "case_back", "BODEN": "case_back", "FONDO": "case_back",
	"BEZEL": "bezel", "LUNETTE": "bezel", "CLASP": "clasp", "BUCKLE": "clasp"}

// filler are words that say nothing of the metal.
var filler = words("OF", "DE", "EN", "D", "THE", "CASE", "BOX", "SWISS", "MADE", "IN", "FINE", "PURE", "SOLID",
	"MASSIF",
	"MASSIV", "PLUMB", "WARRANTED", "GUARANTEED", "GARANTIE", "GARANTI", "GUAR", "MIN", "THICK", "QUALITY", "G", "P",
	"METAL", "ECHT", "ET", "AND")

// zolotniks are the standards in 96ths of old Russia: gold 56, 72, 82, 92 and 94,
// silver 84, 88 and 91; from memory.
var zolotniks = map[string]struct {
	element  string
	permille int
}{
	"56": {Gold, 583}, "72": {Gold, 750}, "82": {Gold, 854}, "92": {Gold, 958}, "94": {Gold, 979},
	"84": {Silver, 875}, "88": {Silver, 916}, "91": {Silver, 948},
}

func words(all ...string) map[string]bool {
	out := make(map[string]bool, len(all))
	for _, w := range all {
		out[w] = true
	}
	return out
}
