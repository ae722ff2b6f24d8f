package support

import "runtime"

// Spacing is how far apart the supports of a kind stand at the most, mm, with where it is from.
type Spacing struct {
	Kind   string // "" for all that are not named
	MM     float64
	Source string
}

// Spacings returns the usual spacing by kind: the closer of what is in use. No figures for pipes by size are at hand.
func Spacings() []Spacing {
	return []Spacing{
		{"basket", 1200, "1.2 to 1.5 m (common practice, no source; the maker's load table counts)"},
		{"tray", 1500, "1.5 to 2.0 m (common practice, no source; the maker's load table counts)"},
		{"ladder", 3000, "3.0 m (common practice, no source; the maker's load table counts)"},
		{"duct", 2400, "2.4 to 3.0 m (common practice, no source)"},
		{"", 1500, "as a tray (common practice, no source)"},
	}
}

// Options say how supports are placed. The zero value is what is usual; all mm.
type Options struct {
	Spacing float64            // of every kind; 0: by kind
	Kinds   map[string]float64 // of some kinds, before Spacings
	First   float64            // first support from an end or a corner, at the most; 0: 300 (common practice, no source)
	Beside  float64            // rod's middle from the service's side; 0: 50 (common practice, no source)
	Past    float64            // channel past the middle of a rod; 0: 30 (common practice, no source)
	Clamp   float64            // height of the clamp under a flange, in which a rod ends; 0: not known
	Off     bool               // no supports are asked for: who checks leaves them out
	Workers int                // goroutines that gather rows; 0: one a processor
}

func (o Options) workers() int {
	if o.Workers > 0 {
		return o.Workers
	}
	return runtime.GOMAXPROCS(0)
}

const (
	usualFirst  = 300.0
	usualBeside = 50.0
	usualPast   = 30.0
	usualRod    = 10.0 // M10 where nobody says
	channelWide = 41.0 // BS 6946:1988
	plateWide   = 40.0 // square plate washer (common practice, no source)
)

// Filled returns the options with what is usual for what is 0, but for the spacing, which goes by kind.
func (o Options) Filled() Options {
	or := func(v *float64, usual float64) {
		if *v <= 0 {
			*v = usual
		}
	}
	or(&o.First, usualFirst)
	or(&o.Beside, usualBeside)
	or(&o.Past, usualPast)
	return o
}

// Of returns the spacing of a kind, mm.
func (o Options) Of(kind string) float64 {
	if o.Spacing > 0 {
		return o.Spacing
	}
	if v := o.Kinds[kind]; v > 0 {
		return v
	}
	other := 0.0
	for _, s := range Spacings() {
		switch s.Kind {
		case kind:
			return s.MM
		case "":
			other = s.MM
		}
	}
	return other
}
