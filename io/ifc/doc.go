// Package ifc reads building models in the open exchange format of the trade: IFC (ISO 16739), 2x3 and 4, as STEP files
// (ISO 10303-21), plain or zipped. It knows the file: which elements there are, what they are called, what belongs to what, where
// they stand and what form they have, in mm and in the axes of the model's own project. What becomes of them is for others to say.
//
// A file is read twice, and never held whole. The first pass notes where each instance begins and what type it is of, 16
// bytes an instance; the second reads, where they stand, the relations and elements, and then one element's form at a
// time. What is wrong with the file as a whole is an error; what is wrong with one element is a problem that names file and line, and the
// element goes without what could not be read. Hostile input (loops, depth, endless strings, zip bombs) is refused by limits (Bounds).
package ifc
