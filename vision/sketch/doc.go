// Package sketch reads a curve that somebody drew on squared paper: a photo or a scan of a sheet -> the curve in
// squares, with its uncertainties, the axes drawn, and what is to be doubted.
//
// Stage: photo -> squares.Find -> Find -> Drawing. Entry: Find.
//
//	sheet.go     the paper straightened, as absorbance: what light the paper's white has lost
//	beyond.go    what lies beyond the sheet is no part of it
//	ink.go       less the ruling: what repeats from square to square
//	passing.go   where a stroke passes: a hard pencil's goes on, grain does not
//	evidence.go  which cells are ink, against the noise of their neighbourhood in lightness and colour
//	inks.go      the colours of the pens
//	straight.go  straight lines along the squares
//	axes.go      which of them are axes
//	underline.go less the axes: what is drawn on one
//	arrows.go    less the arrows of axes, and dimension lines
//	canvas.go    what each cell is worth to a way, pen by pen
//	follow.go    the way from left to right on which most ink lies and which turns least
//	labels.go    no figure along an axis is gone round
//	ends.go      what a way's ends earn
//	tips.go      the tips of narrow peaks
//	curves.go    which ways are curves
//	meet.go      strokes of one pen that meet: which goes on which way
//	levels.go    the heights between which a stroke goes to and fro, which tell two from each other
//	leftover.go  what was left over where curves are
//	tails.go     what may go on along an axis
//	measure.go   the middle of the stroke along its way
//	doubt.go     what a person should look at
package sketch
