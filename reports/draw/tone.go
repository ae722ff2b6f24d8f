package draw

import "fmt"

// Tone is a colour by what it is for: each has a light and a dark form, for paper and dark screens. The
// hues are those of Okabe and Ito (Color Universal Design, 2002/2008), which people with any common
// colour vision tell apart; lines are their darker, on dark screens lighter shades, so that they stand out
// at least 3:1 against paper and against their own tint.
type Tone uint8

// The tones. A hue's tint fills, its plain form draws.
const (
	None Tone = iota
	Paper
	Ink   // words, outlines of what is cut
	Soft  // second words
	Faint // grid lines, frames
	Wash  // the ground of tables and of structure that is not cut
	Steel
	SteelTint
	Grey
	GreyTint
	Blue
	BlueTint
	Sky
	SkyTint
	Green
	GreenTint
	Orange
	OrangeTint
	Vermillion
	VermillionTint
	Purple
	PurpleTint
	Yellow
	YellowTint
	// The colours of pipe identification, BS 1710 (see the package look).
	MarkGreen
	MarkGrey
	MarkBrown
	MarkOchre
	MarkViolet
	MarkLightBlue
	MarkBlack
	MarkRed
	MarkBlue
	MarkCrimson
	MarkEmerald
	MarkWhite
	MarkYellow
	tones
)

// RGB is a colour.
type RGB struct{ R, G, B uint8 }

// String returns the colour as #rrggbb.
func (c RGB) String() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

func hex(v uint32) RGB { return RGB{uint8(v >> 16), uint8(v >> 8), uint8(v)} }

// mix returns part of a in b.
func mix(a, b RGB, part float64) RGB {
	f := func(x, y uint8) uint8 { return uint8(part*float64(x) + (1-part)*float64(y) + 0.5) }
	return RGB{f(a.R, b.R), f(a.G, b.G), f(a.B, b.B)}
}

// Light returns the colour for white paper, Dark that for a dark screen.
func (t Tone) Light() RGB {
	paper := hex(0xffffff)
	switch t {
	case Paper:
		return paper
	case Ink:
		return hex(0x15181b)
	case Soft:
		return hex(0x50575d)
	case Faint:
		return hex(0x8b9399)
	case Wash:
		return hex(0xf1f2f1)
	case Steel:
		return hex(0x000000)
	case SteelTint:
		return mix(hex(0x000000), paper, 0.13)
	case Grey:
		return hex(0x5f666c)
	case GreyTint:
		return mix(hex(0x5f666c), paper, 0.14)
	case Blue:
		return hex(0x0072b2)
	case BlueTint:
		return mix(hex(0x0072b2), paper, 0.20)
	case Sky:
		return hex(0x1f6fa0)
	case SkyTint:
		return mix(hex(0x56b4e9), paper, 0.28)
	case Green:
		return hex(0x007a59)
	case GreenTint:
		return mix(hex(0x009e73), paper, 0.20)
	case Orange:
		return hex(0x8a5f00)
	case OrangeTint:
		return mix(hex(0xe69f00), paper, 0.30)
	case Vermillion:
		return hex(0xb04d00)
	case VermillionTint:
		return mix(hex(0xd55e00), paper, 0.20)
	case Purple:
		return hex(0x9c4a78)
	case PurpleTint:
		return mix(hex(0xcc79a7), paper, 0.26)
	case Yellow:
		return hex(0x6f6900)
	case YellowTint:
		return mix(hex(0xf0e442), paper, 0.55)
	}
	return t.mark()
}

// Dark returns the colour for a dark screen.
func (t Tone) Dark() RGB {
	paper := hex(0x12161a)
	switch t {
	case Paper:
		return paper
	case Ink:
		return hex(0xeef1f3)
	case Soft:
		return hex(0xb4bcc2)
	case Faint:
		return hex(0x6d767d)
	case Wash:
		return hex(0x1c2126)
	case Steel:
		return hex(0xdfe3e6)
	case SteelTint:
		return mix(hex(0xdfe3e6), paper, 0.22)
	case Grey:
		return hex(0xa3acb3)
	case GreyTint:
		return mix(hex(0xa3acb3), paper, 0.18)
	case Blue:
		return hex(0x4fa8e0)
	case BlueTint:
		return mix(hex(0x0072b2), paper, 0.38)
	case Sky:
		return hex(0x8accf2)
	case SkyTint:
		return mix(hex(0x56b4e9), paper, 0.25)
	case Green:
		return hex(0x35c99d)
	case GreenTint:
		return mix(hex(0x009e73), paper, 0.30)
	case Orange:
		return hex(0xf0b429)
	case OrangeTint:
		return mix(hex(0xe69f00), paper, 0.24)
	case Vermillion:
		return hex(0xf58a45)
	case VermillionTint:
		return mix(hex(0xd55e00), paper, 0.28)
	case Purple:
		return hex(0xe3a3c6)
	case PurpleTint:
		return mix(hex(0xcc79a7), paper, 0.24)
	case Yellow:
		return hex(0xf0e442)
	case YellowTint:
		return mix(hex(0xf0e442), paper, 0.22)
	}
	return t.mark()
}

// mark returns the colours of pipe identification, the same on every ground. BS 1710 gives codes to BS 4800;
// green and brown are the values of one marking page, the others are near values from memory.
func (t Tone) mark() RGB {
	switch t {
	case MarkGreen:
		return hex(0x6a6c3c) // 12 D 45
	case MarkGrey:
		return hex(0xa8a49c) // 10 A 03
	case MarkBrown:
		return hex(0x72503b) // 06 C 39
	case MarkOchre:
		return hex(0xc79a5b) // 08 C 35
	case MarkViolet:
		return hex(0x8f73a3) // 22 C 37
	case MarkLightBlue:
		return hex(0x8fbcd4) // 20 E 51
	case MarkBlack:
		return hex(0x1d1d1b) // 00 E 53
	case MarkRed:
		return hex(0xc5161d) // 04 E 53
	case MarkBlue:
		return hex(0x0076a8) // 18 E 53
	case MarkCrimson:
		return hex(0x8c1f35) // 04 D 45
	case MarkEmerald:
		return hex(0x00865a) // 14 E 53
	case MarkWhite:
		return hex(0xffffff) // 00 E 55
	case MarkYellow:
		return hex(0xf7c600) // 08 E 51
	}
	return RGB{}
}
