package table

import (
	"reflect"
	"strings"
	"unsafe"

	"github.com/gocarina/gocsv"

	"voidline/void/cell"
)

// setter reads a text, trimmed in front, into the cell that it is given a pointer to. It clears the cell where the text is
// blank.
type setter func(c unsafe.Pointer, text string)

// setters returns how the cells of a row are read, by the field of its struct. Numbers, and levels that are little more, are
// read here, the rest by package cell; what is likely to come again in a column, once.
func setters(row reflect.Type) []setter {
	names := &store{size: 16 << 10} // words and what else is likely to be kept
	texts := &store{size: 4 << 10}
	list := make([]setter, row.NumField())
	for i := range list {
		switch reflect.Zero(row.Field(i).Type).Interface().(type) {
		case cell.Word:
			list[i] = again(names, cell.ParseWord)
		case cell.Names:
			list[i] = func(c unsafe.Pointer, text string) { *(*cell.Names)(c) = cell.ParseNames(names.add(text)) }
		case cell.Place:
			list[i] = figure(func(text string, mm float64) cell.Place { return cell.Place{Text: text, MM: mm} }, again(texts, func(text string) cell.Place {
				p := cell.ParsePlace(text)
				p.Line = names.add(p.Line)
				return p
			}))
		case cell.Length:
			list[i] = figure(func(text string, mm float64) cell.Length { return cell.Length{Text: text, MM: mm} }, again(texts, cell.ParseLength))
		case cell.Size:
			list[i] = again(texts, func(text string) cell.Size {
				s := cell.ParseSize(text)
				s.Name, s.Standard = names.add(s.Name), names.add(s.Standard)
				return s
			})
		case cell.Level:
			list[i] = level(again(texts, cell.ParseLevel))
		case cell.Covering:
			list[i] = again(texts, cell.ParseCovering)
		case cell.Face:
			list[i] = again(texts, cell.ParseFace)
		case cell.Fall:
			list[i] = again(texts, cell.ParseFall)
		case cell.Flag:
			list[i] = again(texts, cell.ParseFlag)
		case cell.Number:
			list[i] = again(texts, cell.ParseNumber)
		default:
			of := row.Field(i).Type
			list[i] = func(c unsafe.Pointer, text string) {
				reflect.NewAt(of, c).Interface().(gocsv.TypeUnmarshaller).UnmarshalCSV(strings.Clone(text))
			}
		}
	}
	return list
}

// again returns how a column is read of which the texts come again and again.
func again[C any](texts *store, read func(string) C) setter {
	m := memo[C]{read: read, texts: texts}
	return func(c unsafe.Pointer, text string) {
		if text == "" {
			var blank C
			*(*C)(c) = blank
		} else {
			*(*C)(c) = *m.get(text)
		}
	}
}

// figure returns how a column is read in which most texts are plain numbers; the others are read by rest.
func figure[C any](number func(text string, mm float64) C, rest setter) setter {
	return func(c unsafe.Pointer, text string) {
		if mm, ok := decimal(text); ok {
			*(*C)(c) = number(text, mm)
		} else {
			rest(c, text)
		}
	}
}

// level returns how levels are read. A number alone is above FFL, and in doubt where it is small.
func level(rest setter) setter {
	return func(c unsafe.Pointer, text string) {
		number := text
		if len(text) > 5 && text[:4] == "FFL+" && text[4] != '-' {
			number = text[4:]
		}
		if mm, ok := decimal(number); ok && (mm >= 20 || mm <= -20) {
			*(*cell.Level)(c) = cell.Level{Text: text, Low: cell.Height{Ref: cell.FFL, MM: mm}}
		} else {
			rest(c, text)
		}
	}
}

// decimal reads a number such as 1200, -35.5 or 12. as cell.ParseLength and cell.ParsePlace read it. It reports
// false of any other text, of more than 15 characters behind the sign, and of what is beyond cell.Bound.
func decimal(text string) (float64, bool) {
	digits := strings.TrimPrefix(text, "-")
	if digits == "" || len(digits) > 15 || digits[0] == '.' {
		return 0, false
	}
	whole, point := uint64(0), -1
	for i := 0; i < len(digits); i++ {
		if d := digits[i] - '0'; d <= 9 {
			whole = whole*10 + uint64(d)
		} else if digits[i] == '.' && point < 0 {
			point = i
		} else {
			return 0, false
		}
	}
	v := float64(whole)
	if point >= 0 {
		v /= tens[len(digits)-1-point] // both are exact, so that the result is the nearest
	}
	if v > cell.Bound {
		return 0, false
	}
	if len(digits) < len(text) && v != 0 {
		v = -v
	}
	return v, true
}

// tens are powers of ten.
var tens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14}
