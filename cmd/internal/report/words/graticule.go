package words

import (
	"fmt"

	"quadrille/calibrate/remark"
)

var graticule = map[remark.Kind]wording{
	"graticule.few_lines": func(r remark.Remark) string {
		return fmt.Sprintf("only %.0f %% of the graticule's lines were seen: check that the grid found lies on the display's", 100*r.Number("share"))
	},
	"graticule.lines_off":   format("the lines lie %.3f boxes off the grid found: the display is uneven, or the grid is wrong", "off_box"),
	"graticule.face_bends":  format("the display's face bends by %.2f boxes: if it is flat, the grid is wrong", "bend_box"),
	"graticule.other_frame": format("another place or size of the frame fits nearly as well as %d × %d boxes: check where the outermost lines are", "columns", "rows"),
	"graticule.ends_unclear": format("where the lines of the graticule end was not clearly seen: check that %d × %d boxes are right"+
		" and that the frame lies on the outermost lines", "columns", "rows"),
	"graticule.rim_unseen": format("the graticule's %s rim was not clearly seen: if a menu or glare covers it, check that the frame ends there", "side"),
	"graticule.dots_past_rim": format("the display has dots all over, and its %s rim was not clearly seen: the grid may lie a part of a box off,"+
		" check that the frame ends there", "side"),
	"graticule.rims_off": format("the left and right rim are not half a box from the lines beside them but %.2f boxes off that:"+
		" the frame is not quite %d boxes wide, the lines are", "off_box", "columns"),
	"graticule.dots_alike": plain("the display has dots all over and nothing marks its centre: check that the lines found are its divisions"),
	"graticule.centre_elsewhere": format("ticks mark another line than the middle one of the %d × %d boxes found as a centre line:"+
		" if a menu or table covers a side, check that the frame ends there", "columns", "rows"),
	"graticule.two_inks":   plain("the upright and the level lines found differ in colour: check that none of them are edges of the trace"),
	"graticule.other_grid": plain("another grid fits nearly as well: check that the lines found are the display's divisions"),
	"graticule.box_unusual": func(r remark.Remark) string {
		shape := "as high as it is wide"
		if r.Flag("wide") {
			shape = "as wide as it is high"
		}
		return fmt.Sprintf("a box is %.1f times %s: that is unusual, check that no line was left out", r.Number("aspect"), shape)
	},
	"graticule.cut_off": format("a corner of the frame found lies outside the photo: its lines may go on there, check that %d × %d boxes are right", "columns", "rows"),
	"graticule.marks_few": format("no lines run across the display, and of the ticks or crosses that tell its boxes not all were seen:"+
		" check that %d × %d boxes are right", "columns", "rows"),
	"graticule.marks_one_sided": plain("ticks were seen along one rim or side of an axis and not along the other:" +
		" check that all four sides of the frame lie on the display's"),
	"graticule.marks_end":     plain("the ticks or crosses were not seen up to all four rims: check that the frame lies on the display's"),
	"graticule.marks_go_on":   format("ticks or crosses seem to go on beyond the frame found, or to end before it: check that %d × %d boxes are right", "columns", "rows"),
	"graticule.other_count":   format("the ticks fit %d × %d boxes nearly as well as %d × %d: check the count", "other_columns", "other_rows", "columns", "rows"),
	"graticule.lines_across":  plain("lines run across the frame, and perhaps beyond it: check that it ends where the display's does"),
	"graticule.count_read":    format("the count of %d × %d boxes was read off the photo: check it", "columns", "rows"),
	"graticule.no_marks":      plain("no ticks or crosses were seen in the frame: the boxes are even parts of it, by the count given"),
	"graticule.corners_taken": format("no grid lines were seen near the corners given: they are taken as they are, each good to %.1f pixels", "sigma_px"),
}
