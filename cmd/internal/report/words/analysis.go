package words

import "quadrille/calibrate/remark"

var analysis = map[remark.Kind]wording{}
