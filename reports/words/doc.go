// Package words says a check's result in the words that people read: it rounds, cleans, counts,
// sorts, gathers and phrases, and leaves form (a terminal's width, Markdown) to the writers. It
// measures nothing: every length comes from the record.
//
// Whole millimetres are rounded to the side of safety: gaps down; shortfalls, moves, what is asked
// and hole sizes up.
package words
