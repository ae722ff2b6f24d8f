// Package measure holds the leaves of the check: what one pair of bodies comes to by what rules ask of it, what belongs together
// and meets, how a service gets through structure, over which length the one is too near the other, and where on the two
// that is.
//
// In come bodies and what is asked of them (a Choice of package rules), or two zones of a scene, each where it is put. Out come
// verdicts, ties, passages, stretches and points, in mm and typed: no words. Judge takes two bodies alone; a Tape measures
// in a scene, and says of an Encounter of two zones what it comes to.
//
// It looks at two things at a time. It searches nothing, keeps nothing but what the table of connections says of two kinds,
// and does not know which shifts would clear a pair: that is package forbid's, which rests on the same leaves.
package measure
