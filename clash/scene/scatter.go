package scene

import "voidline/void/body"

// Scatter is bodies that are no zones and are looked for by place.
type Scatter struct {
	Of   []int32 // what each is
	Body []body.Body
	Box  []Box
	grid *Grid
}

// Add adds a body with the box in which it is looked for.
func (s *Scatter) Add(of int32, b body.Body, bx Box) {
	s.Of, s.Body, s.Box = append(s.Of, of), append(s.Body, b), append(s.Box, bx)
}

// Lay makes ready to be asked, once all are added.
func (s *Scatter) Lay(workers int) { s.grid = lay(s.Box, nil, nil, workers) }

// Near visits, each once, the bodies whose boxes meet a box.
func (s *Scatter) Near(b Box, visit func(k int)) {
	const few = 16
	if len(s.Box) <= few {
		for k := range s.Box {
			if s.Box[k].Apart(&b) <= 0 {
				visit(k)
			}
		}
		return
	}
	s.grid.some(&b, 0, func(k int32) bool {
		if s.Box[k].Apart(&b) <= 0 {
			visit(int(k))
		}
		return false
	})
}
