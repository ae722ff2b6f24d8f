// Package forbid says what is forbidden to a body along a direction.
//
// In come a tape over a scene and a Query: whose body, where it is asked about, and the direction. Out come bans, each an interval
// of shifts in mm that one thing forbids by one rule, with its holes: typed causes, no words. It asks the index, never all zones,
// and swaps nothing, so that two questions may be asked at once. It rests on the leaves that Judge of package measure
// rests on; neither calls the other.
//
//  1. Of one pair, one rule and one direction the forbidden shifts are one interval, for both bodies are convex. Its ends are
//     those at which flat faces come to the gap that is asked, proved by measuring there and a little further; where faces
//     slope or are round they are found by halving, to a ten-thousandth of a millimetre, rounded outwards.
//  2. A rule that counts over a length alone forbids where the stretch that is too near is long enough: of a convex body that
//     length is concave along the direction, so it is an interval too. What is short, but adds up along the run, is
//     taken as if it counted at once.
//  3. A row with one side to be kept clear is forbidden what two intervals share, one of either side.
//  4. Ceilings and soffits are prisms over their bay, open to one side, and ask for an upright gap only.
//  5. Openings, builder's work, and what belongs together are holes: shifts at which the pair is allowed all the same.
//
// Intervals are given as they are, not merged: what fits exactly between two of them stays.
//
// Supports, reach, doubts and joints are no intervals: they are laid or asked again at the place tried.
package forbid
