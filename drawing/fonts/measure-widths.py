"""Advance widths in thousandths of an em: the widest of the fonts that the exporters name, so that a text never needs
more room than was kept for it. Prints src/text/widths.json. Needs Debian's python3-fonttools, fonts-inter,
fonts-liberation and fonts-dejavu-core:

    python3 drawing/fonts/measure-widths.py > drawing/src/text/widths.json
"""

import json
import subprocess
import sys

from fontTools.ttLib import TTFont

FACES = {
    "regular": ["Inter:style=Regular", "Liberation Sans:style=Regular", "DejaVu Sans:style=Book"],
    "bold": ["Inter:style=Semi Bold", "Liberation Sans:style=Bold", "DejaVu Sans:style=Bold"],
}
PLAIN = "".join(chr(code) for code in range(32, 127))
SPACES_AND_SIGNS = "\u00a0\u2009\u202f\u2212\u2013\u2014\u2019\u201c\u201d\u2026\u00b1\u00d7\u00b7\u00b0\u00b2\u00b3"
UNITS_AND_LETTERS = "\u00b5\u03a9\u03bc\u2126\u0394\u03c0\u03c6\u221a\u221e\u2192\u2190\u2264\u2265\u2260\u2248\u25b2\u25bc"
ACCENTS = "\u00d8\u00f8\u00e4\u00f6\u00fc\u00df\u00c4\u00d6\u00dc\u00e9\u00e8\u00e0\u00e7\u00e5\u00c5\u00f1"


def face(pattern):
    font = TTFont(subprocess.check_output(["fc-match", "-f", "%{file}", pattern], text=True), fontNumber=0)
    print(font["name"].getDebugName(4), font["name"].getDebugName(5), file=sys.stderr)
    return font


def advance(font, char):
    """Of the plain and, for a digit, the tabular figure; nothing where the font lacks the character."""
    name = font.getBestCmap().get(ord(char))
    names = [name, f"{name}.tf"] if char.isdigit() else [name]
    metrics = font["hmtx"].metrics
    return [1000 * metrics[n][0] / font["head"].unitsPerEm for n in names if n in metrics]


def widths(fonts):
    seen = {char: [w for font in fonts for w in advance(font, char)] for char in PLAIN + SPACES_AND_SIGNS + UNITS_AND_LETTERS + ACCENTS}
    return {char: round(max(found)) for char, found in seen.items() if found}


print(json.dumps({style: widths([face(p) for p in patterns]) for style, patterns in FACES.items()}))
