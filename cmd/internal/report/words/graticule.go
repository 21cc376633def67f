package words

import "quadrille/calibrate/remark"

var graticule = map[remark.Kind]wording{
	remark.KindText: format("%s", "text"),
}
