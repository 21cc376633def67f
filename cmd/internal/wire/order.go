package wire

import (
	"slices"
	"sort"
)

// orders has, for the kinds whose analysis makes its results in another order than a person asks for them, what comes
// first: of pulses how high, how long and how often before the base that they stand on; of two levels the period before
// the levels. An entry is a quantity, or one of its methods ("period/boxes"); what is not listed comes last, as it
// came.
var orders = map[string][]string{
	"states": {"step_time", "period", "frequency", "v_pp", "v_high", "v_low", "pulse_duration", "duty_factor", "transition_duration",
		"period/boxes"},
	"pulses": {"v_pp", "pulse_duration", "period", "frequency", "duty_factor", "burst_duration", "pulse_position",
		"transition_duration", "period/boxes", "v_high", "v_low", "v_sd"},
	"noise": {"v_rms", "v_pp", "bandwidth", "v_mean"},
}

// inOrder puts the results of each trace into the order of its kind, and the comparisons' places with them.
func (d *Document) inOrder() {
	was := make([]int, len(d.Results)) // the place of each
	for i := range was {
		was[i] = i
	}
	for first := 0; first < len(was); {
		end := first
		for end < len(was) && d.Results[end].Trace == d.Results[first].Trace && d.Results[end].Signal == d.Results[first].Signal {
			end++
		}
		group := d.Results[first:end]
		part := was[first:end]
		sort.SliceStable(part, func(i, j int) bool { return rank(group, &d.Results[part[i]]) < rank(group, &d.Results[part[j]]) })
		first = end
	}
	now, sorted := make([]int, len(was)), make([]Result, len(was))
	for i, w := range was {
		now[w], sorted[i] = i, d.Results[w]
	}
	copy(d.Results, sorted)
	for _, c := range d.Comparisons {
		for k, w := range c.Results {
			c.Results[k] = now[w]
		}
	}
}

// rank is the place of r among the results of its trace. The height of the outermost strokes is one beside another,
// where there is another.
func rank(group []Result, r *Result) int {
	order := orders[r.Signal]
	if r.Quantity == "v_pp" && r.Method == "outermost" && slices.ContainsFunc(group, func(o Result) bool {
		return o.Quantity == r.Quantity && o.Method != r.Method
	}) {
		return len(order)
	}
	for _, name := range []string{r.Quantity + "/" + string(r.Method), r.Quantity} {
		if i := slices.Index(order, name); i >= 0 {
			return i
		}
	}
	return len(order)
}
