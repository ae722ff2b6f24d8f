// Package scene is what a check looks at: a project, and of each zone the box round it, what rules see of it and what hangs under
// it, found again by place.
//
// In come a resolved project and the rules; out come zones, bodies, boxes, the rows of a run, openings by what they are in,
// which zones are near a box, and every pair of zones that is nearer than any rule between the two can ask. It is looked at
// once and then read by all, by many goroutines and with many questions at once; after an edit the zones that changed
// are looked at again, and nothing else is ever written to it.
//
// A Put is a zone taken to be a body: its own, or one that it would have elsewhere, so that a question may be asked about
// what is nowhere in the project.
//
// It knows boxes and levels, and does not measure between bodies: how near two of them are is for package measure.
package scene
