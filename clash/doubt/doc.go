// Package doubt says what is clear as drawn and may not fit once it is built: nothing is built at its level to the millimetre, and a beam
// comes down when the floor above is loaded.
//
// In come a tape over a scene, how tolerances are added up (tolerance.Way), the part of its span by which a beam comes down, and which zones
// serve something in the ceiling. Out come pairs, typed and in mm, no words: what is left of their gap, what was taken off it and what was
// wanted (Doubt); of two neighbours over one point what is left of the gap between them (Built). It knows no findings, no supports and no
// answer: what is a finding as drawn it asks package measure, and passes over. The sums themselves are package tolerance's.
//
//  1. Pairs that are near enough to come too close are searched as findings are, only wider. What is a finding as drawn, or
//     belongs together, is passed over.
//  2. Only levels count: the upright distance where the two plans overlap. From it are taken the tolerances of the two; what
//     is fixed tight to a beam or a slab (within the touch tolerance) goes up and down with it, so that its tolerance
//     counts too, except between two things that are tight to the same.
//  3. What hangs from above goes down with a beam that lies over it. The gap to what is carried by something else loses that
//     much: a ceiling and what is set into it (carried from the walls, the careful reading), what stands through levels,
//     walls, slabs. Two things that hang over one place go down together. A slab is taken to stay, and what hangs where
//     no beam is over it stays with it. A hanger from the wall stays.
//  4. A row of steel is one span, cut at the columns that stand under it; what carries its ends is taken to stay.
//
// Most tolerances are from memory or common practice: they warn, they never fail.
package doubt
