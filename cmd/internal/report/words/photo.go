package words

import "quadrille/calibrate/remark"

var photo = map[remark.Kind]wording{
	"photo.compressed": format("the photo was compressed strongly (about quality %.0f of 100), which smears thin lines; "+
		"use the file from the camera, not a copy from a message", "quality"),
	"photo.small": format("the picture is small (%d×%d pixels): a box of the graticule can be at most about %d pixels wide; "+
		"take the photo at full size", "width_px", "height_px", "box_px"),
}
