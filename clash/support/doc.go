// Package support says of hung rows where their supports stand, what each is made of, what bars each place, and what each meets.
//
// In come a project, with the places that somebody has set out (its Supports), which go before the usual ones, and how supports are usually spaced
// (Options); to measure, a tape over a scene besides (Site). Out come, typed and in mm, no words:
//
//   - places: a Support has an owner, the row, of a frame the first by id of the rows that it holds, and a number there. A Plan keeps the
//     lengths along which supports stand together, straight on in a run or over each other in a frame, and no support: each is worked
//     out when it is asked for, at the level where the row is taken to be (Along). Place spreads them over what is clear.
//   - parts: rods up to what is over each where it stands, the soffit or steel, channels, and what is under them, as bodies (Bodies);
//     what a plane cuts of them and how they look from above, for drawings (Cut, FromAbove).
//   - bars: the stations of a stretch at which a support may not stand, and why (Site.Bars): the one answer to that question. The check asks it
//     how far a support must move, setting out where to stand one; what differs is a parameter: setting out keeps 25 round a rod,
//     the check asks no more room than the rod's own, for where it stands is a guess until it is set out.
//   - meetings: what the supports of a row are in where they stand, each thing once, of the support that is worst (Looker).
//
// Supports are measured against each other where both are set out: a usual place is a guess. It does not know findings, lines and sets, nor
// stock that rods are cut from. Several goroutines may ask one Plan, and one Site by a Looker each, as long as nobody changes it or its project. Usual places are
// common practice, no more: nobody has struck them.
package support
