package sketch

import "testing"

// A flank that no curve was followed along, between two levels that were, may be either's. One that ends elsewhere, or
// was followed, is none.
func TestAFlankThatIsLeftOver(t *testing.T) {
	const per = 60
	for name, x := range map[string]struct {
		top, bottom int     // rows
		used        float64 // share of it
		axis        bool
		told        bool
	}{
		"between two levels":   {103, 397, 0, false, true},
		"a little off both":    {112, 388, 0, false, true},
		"ends in between":      {103, 300, 0, false, false},
		"begins below":         {140, 397, 0, false, false},
		"followed":             {103, 397, 1, false, false},
		"followed for a while": {103, 397, 0.2, false, true},
		"followed half way":    {103, 397, 0.45, false, false},
		"an axis":              {103, 397, 0, true, false},
	} {
		c := emptyCanvas(600, 500, per)
		upper, lower := &stroke{half: 2, way: way{at: straightTo(place{50, 100}, place{550, 100})}},
			&stroke{half: 2, way: way{at: straightTo(place{50, 400}, place{550, 400})}}
		for _, s := range [2]*stroke{upper, lower} {
			for _, p := range s.at {
				c.used[p.x*c.h+p.y] = true
			}
		}
		for y := range int(x.used * float64(x.bottom-x.top)) {
			c.used[300*c.h+x.top+y] = true
		}
		c.stands = []line{{from: x.top, to: x.bottom, a: 300, b: 300, half: 2, axis: x.axis}}
		c.leftBetween(upper)
		if told := len(upper.crossings) > 0; told != x.told {
			t.Errorf("%s: %v", name, upper.crossings)
		}
	}
}
