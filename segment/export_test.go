package segment

// What tests outside the package share with those inside.
var (
	Parallel      = parallel
	UnrestOf      = unrestOf
	Borrow        = borrow
	DrawMargin    = drawMargin
	MarginBorders = marginBorders
	MarginBin     = marginBin
	ScaleIn       = scaleIn
	Overlap       = overlap
	Told          = [...]float64{toldEven, toldFor, toldAgainst}
	TellingOf     = tellingOf
)

// SameRep is sameRep.
const SameRep = sameRep
