package draw

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/golang/geo/r2"

	"voidline/reports/internal/golden"
)

// plain is a drawing whose letters the Go fonts have, or no font has.
func plain() *Drawing {
	d := &Drawing{Name: "Tŷ Łódź", Desc: "letters of the Go fonts", W: 120, H: 60, Scale: 10, Origin: r2.Point{X: 5, Y: 50}}
	d.Area(BlueTint, Ink, Medium, 2, 2, 60, 2, 60, 30, 2, 30)
	for i, s := range []string{"Tŷ Gŵyr", "Łódź, źdźbło", "ø250 – 600×300 ±0 ≥ Ω Ж…", "emoji 🔧 and ש", "e\u0301 a\u00a0b", "\x01"} {
		y := 8 * float64(i+1)
		d.Say(10, y, Text{S: s, Size: 3, Tone: Ink})
		d.Say(60, y, Text{S: s, Size: 3.3, Tone: Soft, Bold: true, Halo: true, Anchor: Middle})
		d.Say(70+8*float64(i), 55, Text{S: s, Size: 2.7, Tone: Ink, Up: true, Halo: i%2 == 0, Anchor: Anchor(i % 2 * int(End))})
	}
	return d
}

// page returns what a page of a PDF says, not compressed.
func page(t *testing.T, d *Drawing) string {
	t.Helper()
	p := NewPDF(d.W, d.H, PDFOptions{})
	p.SetCompression(false)
	p.AddPage()
	Paint(p, d, 0, 0, 1)
	var b bytes.Buffer
	if err := p.Output(&b); err != nil {
		t.Fatal(err)
	}
	_, s, _ := strings.Cut(b.String(), "stream\n")
	s, _, ok := strings.Cut(s, "endstream")
	if !ok {
		t.Fatal("the PDF has no page")
	}
	return s
}

// TestPlain compares a drawing without eastern letters with its golden form, operator by operator in the PDF
// and dot by dot in the PNG: the eastern font changes nothing of it.
func TestPlain(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("sums are rounded otherwise on this processor")
	}
	m, err := Raster(plain(), PNGOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for line := range strings.Lines(page(t, plain())) {
		fmt.Fprintf(&b, "%s\n", strings.Trim(fmt.Sprintf("%q", line), `"`))
	}
	fmt.Fprintf(&b, "dots %x\n", sha256.Sum256(m.Pix))
	golden.Equal(t, "plain.txt", []byte(b.String()))
}
