package void

import (
	"fmt"
	"slices"
	"strings"

	"voidline/void/cell"
	"voidline/void/vocabulary"
)

// Character is what a zone is, apart from where: the words that rules speak of. Zones of one character
// are alike to every rule, so rules are chosen once for each pair of characters.
type Character struct {
	Trade   string // canonical; the text itself where the word is unknown
	Service string // canonical, "" where blank
	Kind    string // canonical
	Groups  []string
	Entry   vocabulary.KindEntry // of the kind; zero where the kind is unknown
	// Class and Circuits are for segregation: "" and 0 where blank.
	Class       string
	Circuits    float64
	Power, Data bool // which cables EN 50174-2 keeps apart
	Recessed    bool // set into the ceiling that it meets
	Order       int  // who gives way by default, 1 stays longest; 0 where neither kind nor trade are known
}

type charKey struct {
	trade, service, kind, class string
	circuits                    float64
	recessed                    bool
}

// In reports whether the character belongs to the group, "any" included.
func (c *Character) In(group string) bool {
	return group == "any" || slices.Contains(c.Groups, group)
}

// Structure reports whether it is structure: beams, columns, slabs, walls.
func (c *Character) Structure() bool {
	return c.Entry.Structure || slices.Contains(c.Groups, "structure")
}

// Characters returns the number of characters.
func (p *Project) Characters() int { return len(p.characters) }

// Character returns character i.
func (p *Project) Character(i int32) *Character { return &p.characters[i] }

// rawKey is what a row says of its character, as it says it.
type rawKey struct {
	file, trade, service, kind, class string
	circuits                          float64
	recessed                          flag
}

// rawCharacter is what rows say of their character, and the character that comes of it.
type rawCharacter struct {
	rawKey
	char  int32
	words []unknownWord
}

// unknownWord is a word that no table of words has. It is told once, at the first row that says it.
type unknownWord struct {
	column     string // "" for the name of the file
	what, hint string
	list       listOf // where a nearer word for a hint may be
	word       string
}

// listOf is a list of the vocabulary.
type listOf uint8

const (
	noWords listOf = iota
	tradeWords
	serviceWords
	kindWords
)

// near returns the word's hint.
func (w *unknownWord) near() string {
	switch w.list {
	case tradeWords:
		return mean(vocabulary.NearestTrade(w.word))
	case serviceWords:
		return mean(vocabulary.NearestService(w.word))
	case kindWords:
		return mean(vocabulary.NearestKind(w.word))
	}
	return w.hint
}

func (w *unknownWord) key() string { return w.column + "\x00" + w.what }

// mostCharacters is how many characters a project may have. Rules look at every two of them; a building has a few hundred,
// and more come of a table that has ids or notes under one of the headings.
const mostCharacters = 10_000

// rawRecent is the number of what rows say of their character that is found without looking in a map: the rows of a
// table come in a few ways that take turns.
const rawRecent = 64

// rawOf returns the index of what a row says of its character, false where its class will not do; and the words
// that are not known, where the row is the first to say all this. i is -1 where the project has too many characters.
func (p *Project) rawOf(file string, r *ZoneRow) (i int32, ok bool, words []unknownWord) {
	key := rawKey{file, r.Trade.Text, r.Service.Text, r.Kind.Text, r.Class.Text, r.Circuits.Value, flagOf(r.Recessed)}
	slot := len(file) + 5*len(key.trade) + 11*len(key.class) + 23*int(key.circuits) + int(key.recessed)
	for _, s := range [...]string{key.service, key.kind} {
		if n := len(s); n > 0 {
			slot = 3*slot + n + int(s[0]) + 2*int(s[n/2])
		}
	}
	recent := &p.rawRecent[uint(slot)%rawRecent]
	if i := *recent; int(i) < len(p.raws) && p.raws[i].rawKey == key {
		return i, true, nil
	}
	if i, ok := p.rawIndex[key]; ok {
		*recent = i
		return i, true, nil
	}
	raw, ok := p.characterise(key)
	if !ok {
		return 0, false, raw.words
	}
	if raw.char < 0 {
		return -1, false, nil
	}
	i = int32(len(p.raws))
	p.raws = append(p.raws, raw)
	p.rawIndex[key] = i
	*recent = i
	return i, true, raw.words
}

// characterise finds the character that a row says: trade, service, kind, and what belongs to them.
// It reports false where the class is none. The character is -1 where the project has too many.
func (p *Project) characterise(r rawKey) (rawCharacter, bool) {
	var k charKey
	raw := rawCharacter{rawKey: r}
	unknown := func(column, what string, list listOf, word string) {
		raw.words = append(raw.words, unknownWord{column: column, what: what, list: list, word: word})
	}
	columnKind, columnService := "", ""
	stem := strings.TrimSuffix(r.file[strings.LastIndexByte(r.file, '/')+1:], ".csv")
	fileTrade, fileKind, known := vocabulary.TradeOfFile(r.file)
	switch {
	case r.trade != "":
		if t, ok := vocabulary.TradeWord(r.trade); ok {
			k.trade = t.Word
		} else if t, kind, ok := vocabulary.TradeOfFile(r.trade); ok {
			// gas, diffusers: what would do as the name of a table does in its column too.
			k.trade, columnKind = t, kind
			columnService, _ = vocabulary.ServiceOfFile(r.trade)
		} else {
			k.trade = fold(r.trade)
			unknown("trade", fmt.Sprintf("%q is not a trade known by name: only rules for any apply to it", r.trade), tradeWords, r.trade)
		}
	case known:
		k.trade = fileTrade
	default:
		k.trade = fold(stem)
		unknown("", fmt.Sprintf("%s: %q is not a trade known by name: only rules for any apply to its rows", r.file, stem), tradeWords, stem)
	}
	if r.service != "" {
		if s, ok := vocabulary.ServiceWord(r.service); ok {
			k.service = s.Word
		} else {
			k.service = fold(r.service)
			unknown("service", fmt.Sprintf("%q is not a service known by name: only rules for any, its kind and its trade apply to it", r.service), serviceWords, r.service)
		}
	}
	switch {
	case r.service == "" && r.trade == "":
		k.service, _ = vocabulary.ServiceOfFile(r.file)
	case r.service == "":
		k.service = columnService
	}
	switch {
	case r.kind != "":
		if e, ok := vocabulary.KindWord(r.kind); ok {
			k.kind = e.Word
		} else {
			k.kind = fold(r.kind)
			unknown("kind", fmt.Sprintf("%q is not a kind known by name", r.kind), kindWords, r.kind)
		}
	case fileKind != "" && r.trade == "":
		k.kind = fileKind
	case columnKind != "":
		k.kind = columnKind
	default:
		k.kind, _ = vocabulary.DefaultKind(k.trade)
	}
	k.class = fold(r.class)
	if k.class != "" && (len(k.class) != 1 || k.class[0] < 'a' || k.class[0] > 'd') {
		return raw, false
	}
	k.circuits = r.circuits
	e, _ := vocabulary.KindWord(k.kind)
	k.recessed = e.Recessed
	if r.recessed != blankFlag {
		k.recessed = r.recessed == flagYes
	}
	i, ok := p.charOf[k]
	switch {
	case !ok && len(p.characters) >= mostCharacters:
		i = -1
	case !ok:
		i = int32(len(p.characters))
		p.charOf[k] = i
		c := Character{Trade: k.trade, Service: k.service, Kind: k.kind, Class: k.class, Circuits: k.circuits}
		c.Entry = e
		c.Groups = vocabulary.GroupsOf(k.trade, k.service, k.kind)
		c.Order, _ = vocabulary.OrderOf(k.trade, k.service, k.kind)
		if e, ok := vocabulary.ServiceWord(k.service); ok {
			c.Power, c.Data = e.Power, e.Data
		}
		c.Recessed = k.recessed
		p.characters = append(p.characters, c)
	}
	raw.char = i
	return raw, true
}

// flag is what a cell of yes or no says.
type flag uint8

const (
	blankFlag flag = iota
	flagYes
	flagNo
)

func flagOf(c cell.Flag) flag {
	switch {
	case c.Text == "":
		return blankFlag
	case c.On:
		return flagYes
	}
	return flagNo
}

// cell returns the cell that says it.
func (f flag) cell() cell.Flag {
	switch f {
	case flagYes:
		return cell.Flag{Text: "yes", On: true}
	case flagNo:
		return cell.Flag{Text: "no"}
	}
	return cell.Flag{}
}
