package vocabulary

import (
	"path"
	"strings"
	"unicode"
)

// TradeOfFile reads the trade, and the kind where the name says one, out of the name of a trade's table:
// "duct fittings.csv" is ductwork and duct fitting, "02 ductwork L1.csv" is ductwork and no kind,
// "tray.csv" containment and tray. A trade's own word comes first, then the usual trade of the kind,
// then that of the service. Numbers, storeys and words that are not known are passed over. ok is
// false where no word is known.
func TradeOfFile(name string) (trade, kind string, ok bool) {
	trade, kind, _ = readFileName(name)
	return trade, kind, trade != ""
}

// ServiceOfFile reads the service out of the name of a trade's table where it says one: "LTHW pipes.csv"
// is LTHW. A word that is a trade or a kind as well ("lighting.csv") is no service here.
func ServiceOfFile(name string) (string, bool) {
	_, _, service := readFileName(name)
	return service, service != ""
}

// readFileName goes through the words of a file name from the left and takes at each the longest phrase
// that is a word of some class; the first of each class counts.
func readFileName(name string) (trade, kind, service string) {
	parts := fileWords(name)
	kindTrade, serviceTrade := "", ""
	for i := 0; i < len(parts); {
		n := len(parts) - i
		for ; n > 0; n-- {
			phrase := strings.Join(parts[i:i+n], " ")
			t, isTrade := TradeWord(phrase)
			k, isKind := KindWord(phrase)
			s, isService := ServiceWord(phrase)
			if isTrade && trade == "" {
				trade = t.Word
			}
			if isKind && kind == "" && fold(phrase) != fold(trade) {
				kind, kindTrade = k.Word, k.Trade
			}
			if isService && !isTrade && !isKind && service == "" {
				service, serviceTrade = s.Word, s.Trade
			}
			if isTrade || isKind || isService {
				break
			}
		}
		i += max(n, 1)
	}
	if trade == "" {
		trade = kindTrade
	}
	if trade == "" {
		trade = serviceTrade
	}
	return trade, kind, service
}

// fileWords parts a file name, without its folder and ending, where it is not a letter or digit and
// between letters and digits.
func fileWords(name string) []string {
	base := path.Base(strings.ReplaceAll(name, `\`, "/"))
	if ext := path.Ext(base); len(ext) <= 4 {
		base = strings.TrimSuffix(base, ext)
	}
	var b strings.Builder
	var last rune
	for _, r := range base {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			r = ' '
		case unicode.IsDigit(r) != unicode.IsDigit(last) && last != 0:
			b.WriteByte(' ')
		}
		b.WriteRune(r)
		last = r
	}
	return strings.Fields(b.String())
}
