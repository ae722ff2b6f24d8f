#!/usr/bin/env python3
"""Puts east.ttf.gz together; NOTICE.md says from what. Wants fontTools 4.38 (Debian: python3-fonttools).

usage: make.py FALLBACK.ttf FULL.ttf MICROHEI.ttc GO-REGULAR.ttf GO-BOLD.ttf OUT.ttf.gz

The same files give the same bytes. What is done, and why:

1. From the fallback font: ideographs, kana, Hangul, their signs and full-width forms. From the full one:
   ideographs of Extension A. From the third: signs that such names stand with (circled numbers, arrows,
   Roman numbers, ...) and that neither the Go fonts nor the first have.
2. Hinting and layout tables go: neither the PDF nor the PNG uses them.
3. All is scaled to the first font's 256 units; outlines are copied glyph by glyph, parts of composite ones first.
4. A sign that another one looks like takes that one's outline (ALIKE).
5. Every glyph has its own width in hmtx: fpdf writes over the font where the last ones share theirs.
"""
import gzip
import io
import sys
import unicodedata

from fontTools import subset
from fontTools.ttLib import TTFont, newTable
from fontTools.ttLib.scaleUpem import scale_upem
from fontTools.ttLib.tables._c_m_a_p import CmapSubtable
from fontTools.ttLib.tables._g_l_y_f import Glyph

# A sign, and the one whose outline it takes where no font has its own: the diameter sign the empty set, and each
# Kangxi radical (left behind by copying out of PDFs) its ideograph.
ALIKE = {0x2300: 0x2205}
ALIKE.update({c: ord(unicodedata.normalize("NFKC", chr(c))) for c in range(0x2F00, 0x2FD6)})

# Where the third font's signs lie: tone marks, punctuation to dingbats, signs of ideographs, and late ideographs.
SIGNS = (0x2B0, 0x300), (0x2010, 0x27C0), (0x3000, 0x3040), (0x9FA6, 0x9FD0)


def letters(path):
    return set(TTFont(path, fontNumber=0).getBestCmap())


def cut(path, want):
    font = TTFont(path, fontNumber=0)
    o = subset.Options(hinting=False, layout_features=[], glyph_names=False, notdef_outline=True)
    o.drop_tables += ["GSUB", "GPOS", "GDEF", "vhea", "vmtx", "gasp", "FFTM", "kern"]
    s = subset.Subsetter(o)
    s.populate(unicodes=want)
    s.subset(font)
    return font


def main(fallback, full, third, regular, bold, out):
    go = letters(regular) & letters(bold)
    has = {c for c in letters(fallback) if 0x1100 <= c <= 0xFFFF and not 0x2000 <= c < 0x2E80}
    more = {c for c in letters(full) if 0x3400 <= c < 0x4DC0}
    signs = {c for c in letters(third) if any(a <= c < b for a, b in SIGNS)}
    signs = {c for c in signs - go - has if unicodedata.category(chr(c))[0] not in "CZM"}

    font = cut(fallback, has - go)
    cmap = dict(font.getBestCmap())
    order = font.getGlyphOrder()
    glyf, hmtx = font["glyf"], font["hmtx"]
    for path, want in ((full, more), (third, signs)):
        other = cut(path, want)
        scale_upem(other, font["head"].unitsPerEm)
        names = {}

        def copy(name):
            if name in names:
                return names[name]
            g = other["glyf"][name]
            g.expand(other["glyf"])
            if g.isComposite():
                for part in g.components:
                    part.glyphName = copy(part.glyphName)
            new = "g%05d" % len(order)
            names[name] = new
            order.append(new)
            glyf.glyphs[new] = g
            hmtx[new] = other["hmtx"][name]
            return new

        for c, name in sorted(other.getBestCmap().items()):
            cmap[c] = copy(name)
    for c, like in ALIKE.items():
        if c not in cmap and c not in go and like in cmap:
            cmap[c] = cmap[like]
    order.append("end")
    glyf.glyphs["end"] = Glyph()
    hmtx["end"] = (1, 0)
    font.setGlyphOrder(order)
    glyf.glyphOrder = order

    table = CmapSubtable.newSubtable(4)
    table.platformID, table.platEncID, table.language, table.cmap = 3, 1, 0, cmap
    font["cmap"].tables = [table]

    name = font["name"] = newTable("name")
    name.names = []
    for i, text in {
        0: "Copyright 2006 Google Corporation; 2008-2009 The WenQuanYi Project. Changed and put together for voidline.",
        1: "voidline east", 2: "Regular", 4: "voidline east", 6: "voidline-east",
        13: "Apache License, Version 2.0", 14: "http://www.apache.org/licenses/LICENSE-2.0",
    }.items():
        name.setName(text, i, 3, 1, 0x409)
    font["post"].formatType = 3
    font["head"].created = font["head"].modified = 3534451200  # 1 January 2016, seconds since 1904
    font.recalcTimestamp = False

    raw = io.BytesIO()
    font.save(raw)
    if font["hhea"].numberOfHMetrics != len(order) or len(order) > 0xFFFF:
        sys.exit("%d widths for %d glyphs" % (font["hhea"].numberOfHMetrics, len(order)))
    with open(out, "wb") as f:
        f.write(gzip.compress(raw.getvalue(), 9, mtime=0))
    print(len(cmap), "signs,", len(order), "glyphs,", len(raw.getvalue()), "bytes")


main(*sys.argv[1:])
