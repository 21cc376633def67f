// Package vision is the part of Quadrille that looks at pictures. It holds no code of its own: its
// rooms are the packages below it, and values go through them in one direction.
//
//	bytes -> photo.Decode -> graticule.Find -> trace.Extract -> (calibrate, analysis)
//
// A graticule is found in five rooms that graticule.Find puts in order:
//
//	scene.Of            lattice.Seeds, Grow     frame.Of, Best          fit.Lines
//	the photo as the    families of evenly      which line is the       homography, lens and
//	finders see it:     spaced lines that       rim, how many boxes,    face on the photo, and
//	light, ridges,      cross, under            how well that           how sure they are
//	colours             perspective             explains the picture
//	       \
//	        '---------> marks.Find: frames by ticks, axes and crosses, fitted by the same room
//
// A trace is found in three rooms that trace.Extract puts in order, each with one entry and arrows that go one way:
//
//	sheet.Read        path.Find             stroke.Measure            trace.Extract
//	the display       where a trace runs    the centre of its         the traces, their ground
//	straightened:     over the columns,     stroke in each column,    marks, their rests, and
//	field, noise,     by rules for what     its sigma, what moves     what is to be doubted
//	the lines' ink    is none               all columns together
//
// Two frames are used, and the compiler keeps them apart (see package geom):
//
//	Pixel   on the upright photo, x right, y down,          Box   on the display, x right, y up,
//	        (0, 0) the top-left corner of the                     (0, 0) the graticule's centre,
//	        top-left pixel                                        one unit a division
//
//	  (0,0)----------------> x                                        y ^
//	    |   .-----------.                                        +---+--|+---+
//	    |   |  photo    |        geom.Homography, geom.Radial    |   |   |   |
//	    |   |           |       <----------------------------    +---+---+---+--> x
//	    v   '-----------'                                        |   |   |   |
//	    y                                                        +---+---+---+
//
// The y axis turns over in one place only, the homography. Nothing is measured on a resampled
// picture: the photo is sampled where the homography and the lens say that a point of the display is.
package vision
