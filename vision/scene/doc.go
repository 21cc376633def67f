// Package scene is a photo as the finders of lines see it: its lightness, its ridges and its colours, at a few
// sizes. Each picture is made once, when it is first asked for, so that a way of searching that is not gone costs
// nothing and two ways share what both need.
//
// Stage: photo -> Scene -> lattice, frame, marks, fit. Entry: Of.
//
// Three views of one photo are offered (see View): as it was photographed, with its lightness limited, and with what
// is colourful taken out. Each comes fine and coarse (see Level), as a Picture of log lightness and as Ridges.
package scene
