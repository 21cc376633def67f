// Package stroke measures where in each column the stroke of a trace lies, to a fraction of a row, how sure that is,
// and what moves all columns together.
//
// It is the third of the rooms that a trace goes through, after package path and before package trace, and Measure is
// its entry:
//
//	centre.go          the centroid of the light of each stroke   (Hagen, Kupinski, Dereniak, Appl. Opt. 46 (2007) 5374)
//	cover.go           what lines of the graticule do to that light
//	cut_strokes.go     strokes that the rim of the screen cuts; clip.go, traces that it cuts
//	ends.go            where strokes end and bend
//	lonely.go          samples that hang together with nothing
//	sigma.go           the standard deviation of each sample
//	standstill.go      how sure a level is that the display's rows and the converter's codes round
//	shared_heights.go  what heights share that a trace comes back to
//	stripes.go         the three stripes of a colour display
//	beam.go            whether the trace may be a tube's beam; parallax.go, what its glass does then
package stroke
