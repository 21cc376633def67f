package words

import (
	"fmt"

	"quadrille/calibrate/remark"
)

var sketch = map[remark.Kind]wording{
	"sketch.much_else": func(r remark.Remark) string {
		return fmt.Sprintf("%.0f %% of what is drawn on the squares is neither a curve nor an axis: something else may have been taken for the"+
			" curve. Look at the picture of it; draw the curve on a page without much else.", 100*r.Number("share"))
	},
	"sketch.mostly_straight": func(r remark.Remark) string {
		return fmt.Sprintf("%.0f %% of the curve lies on straight lines along the squares: a frame, a table or a circuit may have been taken"+
			" for it. Look at the picture of it.", 100*r.Number("share"))
	},
	"sketch.broken": func(r remark.Remark) string {
		return fmt.Sprintf("The curve has gaps: %.0f %% of its width is seen, and the longest part without a gap is %.1f squares. Check that"+
			" its parts belong together; draw it darker, in one stroke.", 100*r.Number("share"), r.Number("longest_box"))
	},
	"sketch.meets_another": format("%.1f squares from the left rim the curve meets another one of the same pen: check that the two were not"+
		" mixed up there. Draw each with a pen of its own.", "x_from_left_box"),
	"sketch.goes_on": format("The curve goes on beyond the squares that were found: a part of it is missing. Lay the sheet flat and take" +
		" the photo again, with all of its squares in the picture and in one light."),
	"sketch.few_lines": func(r remark.Remark) string {
		return fmt.Sprintf("Only %.0f %% of the paper's lines were seen: check the squares on the picture, or take the photo again, sharp and"+
			" from straight above.", 100*r.Number("share"))
	},
	"sketch.curled": format("The paper is curled: its lines lie up to %.1f squares off a plane, and were followed.", "most_box"),
}
