// Package support says where the supports of hung rows stand as long as nobody has set them out, and which bodies they
// are: rods, channels and what is under them. It measures nothing against anything else and knows no rule.
//
// A row that names a hanger is held up at stations along its level or sloping length: the first within 300 of an end
// or a corner, the others evenly between, no further apart than is usual for its kind. Rows of one run that follow each
// other straight on count as one length. Rows that name one frame share its rods and have one channel a tier.
//
//	plan := support.Of(project, support.Options{})
//	for _, s := range plan.Zone(i) {
//		for _, part := range s.Bodies(nil) { … }
//	}
//
// A Plan keeps no support: each is worked out when it is asked for, so several goroutines may ask one Plan at once as long
// as nobody changes it or its project. The stations are common practice, no more: nobody has struck them.
package support
