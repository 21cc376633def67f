// Package unit has values with uncertainty and unit: it reads them as people write them ("500 mV",
// "4k7", "21.9kΩ±0.3%") and prints them as physicists do ("10.34(6) s").
package unit

// A Value is a quantity in SI base units with its standard uncertainty.
type Value struct {
	X    float64
	U    float64 // standard uncertainty (k = 1), in the unit of X; 0 is exact or not stated, NaN unknown
	Unit string  // "V", "s", "Hz", "Ω", "F", "1"
}
