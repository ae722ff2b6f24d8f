// Package void holds the building: storeys, grid lines, bays with their build-ups, and the zones that
// the trades claim in the void above the ceiling. It takes the tables as written, resolves every place,
// size and level to millimetres above the project datum, and answers what stands where.
//
// A Project is filled row by row (AddLevel … AddZone), then resolved once (Resolve). After that it
// is read by any number of readers at once. Edit, Add, Remove, EditBay and EditGap change it, while nobody reads it,
// resolve again what hangs on the change and say what that was.
// Rows that cannot be resolved are left out of the answer and told in Problems, never in silence.
package void
