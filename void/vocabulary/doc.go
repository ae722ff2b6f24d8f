// Package vocabulary knows the words of the trades: what a trade, a service, a kind of thing and a group
// are called, and the usual other spellings of each. It is tables and look-ups, built once and never
// changed.
//
// A word is unique within its class, not across them: "lighting" is a trade and a service, "ceiling"
// a kind and a group, "structure" and "electrical" are trades and groups. Where a table may name any
// of them (gaps.csv) the caller says in which order it asks; a group holds whatever the trade of the same
// name holds.
//
// Matching takes no notice of case, blanks, hyphens, underscores, other punctuation and a plural
// at the end: "Cable Trays", "cable-tray" and "CABLETRAY" are one.
//
// The words are those in use on sites in the United Kingdom (common practice, no source); where a
// word stands for more than one thing the comment beside it says which was taken.
package vocabulary
