// Package path finds where traces run over the columns of a display, and tells them from what else displays draw.
//
// It is the second of the rooms that a trace goes through, after package sheet and before package stroke, and Find is
// its entry:
//
//	colours.go        the colours drawn with, as clusters of directions (mean shift), and how alike a cell is
//	column_runs.go    the runs of each column that stand out in a colour
//	own_colour.go     of several colours, whose stroke a run is a part of
//	bands.go          traces one above the other, each in rows of its own
//	best_path.go      the path of most evidence through them (dynamic programming, Viterbi)
//	rules.go          what is no trace: the list of all rules, in the order in which they are applied
//	alone.go, panels.go, words.go, helper_lines.go, leads.go, path_pieces.go, level_mark.go, narrow_pulses.go, beside.go
//	                  the rules themselves
//	find.go           the search that applies them; second_look.go, when a display is looked at twice
//	crests.go         fast waves of which only the crests are seen
//	left_over.go      what is drawn like a trace, and nothing explains
//
// To add a rule, write its test as one of the kinds in rules.go, put it where it belongs in Rules, and give
// TestEveryRuleIsNeeded in package trace a scene that reads wrongly without it.
package path
