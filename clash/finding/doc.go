// Package finding is the record: what a check found, as it is written, read back, compared and shown.
//
// In come findings that somebody has measured and worded, in mm and names as the tables have them: a Finding with its Moves, builder's work (Hole),
// doubts, joints, the survey, all of them together a Result. Out come the same, rounded as they are told (Finish); their identity (ID) and what of
// them people count as one (Problem, Numbers); which is the worse (Worse, Costs), which bay wants attention (Needs), which holes one might do for
// (HolesTogether); and two answers compared (Compared). The tags of its fields are the JSON document, which package schema describes.
//
// It is the one room whose fields hold words: a rule by its name, a place by its grid lines. Who measured is nothing to it: it knows no project, no
// body, no zone by number and no rule's inside, and asks nobody. What is yet to be worded is in no record: see package clash.
package finding
