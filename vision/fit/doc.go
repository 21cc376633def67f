// Package fit is the last fit of a display's frame to the photo: the frame's homography, the lens and the curve of its
// face, measured at the photo's own resolution, and how sure all that is.
//
// Stage: scene, a frame -> Fit. Entries: Lines, for a frame of ruled lines, and Adjust, for any list of pieces seen.
// What the uncertainty does to places of the display is told by Moves.
//
// Each box-long piece of line is looked at on the photo through the model (sight.go), the model is fitted to where the
// lines were seen (adjust.go), and the photo is looked at again through the new model.
package fit
