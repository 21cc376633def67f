// Package squares finds the ruling of squared paper on a photo: where each crossing of its lines lies, over paper that
// curls, how far the ruled part goes, and whether some lines are heavier than others.
//
// Stage: photo -> scene, lattice.Seeds -> Find -> Paper -> sketch. Entry: Find.
//
//	grow.go    from a seed line by line over the sheet
//	bend.go    how the sheet departs from a plane: a thin plate through the pieces of line that were seen
//	ruling.go  which lines are heavy, and how many thin squares a heavy one has
//	paper.go   the result, and its places
package squares
