package words

import "quadrille/calibrate/remark"

var trace = map[remark.Kind]wording{}
