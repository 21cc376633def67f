package unit

// Box is the unit of an axis whose scale is not known: one division of the graticule. It takes no prefixes.
const Box = "box"

// Axes says in which units the two axes of a record are: seconds and volts, or boxes where the scale is not known.
type Axes struct{ TimeInBoxes, VoltsInBoxes bool }

// Of gives the unit of what would be in the given one if both scales were known: of a frequency, "Hz", where the time
// is in boxes, "per box". What has neither seconds nor volts in it stays as it is.
func (a Axes) Of(given string) string {
	switch {
	case given == "s" && a.TimeInBoxes, given == "V" && a.VoltsInBoxes:
		return Box
	case given == "Hz" && a.TimeInBoxes:
		return "per " + Box
	case given == "V/s" && a != Axes{}:
		return a.Of("V") + " per " + a.Of("s")
	}
	return given
}
