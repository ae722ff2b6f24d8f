// Package rules says what two things ask of each other: which gap, on which side, over what length, on what it rests.
//
// In come the rows of a project's gaps.csv, the built-in rules and characters (trade, service, kind and the like, as
// void has them). Out comes a Choice for two of them: of each side the one rule that wins. Characters that no rule can
// tell apart have one trait, and what two traits ask of each other is worked out once; a Reader is one goroutine's
// own table of it.
//
// It knows no place, no body and no measure: it is words and figures. Rules that are asked elsewhere than of two
// bodies (lifting tiles, openings, reach, supports) say so in Rule.For and wait in the Set.
package rules
