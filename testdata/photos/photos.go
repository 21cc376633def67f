// Package photos holds the simulated photos that the page offers to those who have none, in the program itself, so that
// they are there wherever it runs. samples.json lists them with their words and their settings.
package photos

import "embed"

// Samples is samples.json and the photos that it names.
//
//go:embed samples.json fast-blue.jpg fast-tube.jpg pair-colour.jpg sine-colour.jpg slow-colour.jpg slow-pale.jpg
var Samples embed.FS
