"""How wide words are in the sheets' own type, so that a layout is settled before anything is drawn.

The type is Bitstream Vera Sans, regular and bold, which may be embedded and passed on freely. The widths are those of
the font files themselves, in units of 1/2048 of the type size.
"""

from __future__ import annotations

import unicodedata

from ..errors import PartError

POINT = 25.4 / 72.0
"""One typographic point [mm]."""

ASCENT = 0.76
"""Height of the tallest plain letters above the line, as a part of the type size [-]."""

DESCENT = 0.24
"""Depth of the deepest plain letters below the line, as a part of the type size [-]."""

LEADING = 1.25
"""Distance of two lines of text, as a part of the type size [-]."""

_LETTERS = (
    " !\"#$%&'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxy"
    "z{|}~¡¢£¤¥¦§¨©ª«¬®¯°±²³´µ¶·¸¹º»¼½¾¿ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖ×ØÙÚÛÜÝÞßàáâãäåæçèéêëìíîïðñòóôõö"
    "÷øùúûüýþÿĆćČčĎďĐđĞğİıŁłŒœŞşŠšŸŽž–—‘’“”…"
)

_REGULAR = (
    "651 821 942 1716 1303 1946 1597 563 799 799 1024 1716 651 739 651 690 1303 1303 1303 1303 1303 1303 1303 "
    "1303 1303 1303 690 690 1716 1716 1716 1087 2048 1401 1405 1430 1577 1294 1178 1587 1540 604 604 1343 1141 "
    "1767 1532 1612 1235 1612 1423 1300 1251 1499 1401 2025 1403 1251 1403 799 690 799 1716 1024 1024 1255 1300 "
    "1126 1300 1260 721 1300 1298 569 569 1186 569 1995 1298 1253 1300 1300 842 1067 803 1298 1212 1675 1212 1212 "
    "1075 1303 690 1303 1716 821 1303 1303 1303 1303 690 1024 1024 2048 965 1253 1716 2048 1024 1024 1716 821 821 "
    "1024 1303 1303 651 1024 821 965 1253 1985 1985 1985 1087 1401 1401 1401 1401 1401 1401 1995 1430 1294 1294 "
    "1294 1294 604 604 604 604 1587 1532 1612 1612 1612 1612 1612 1716 1612 1499 1499 1499 1499 1251 1239 1290 "
    "1255 1255 1255 1255 1255 1255 2011 1126 1260 1260 1260 1260 569 569 569 569 1253 1298 1253 1253 1253 1253 "
    "1253 1716 1253 1298 1298 1298 1298 1212 1300 1212 1430 1126 1430 1126 1229 1229 1229 1300 1587 1300 604 569 "
    "1151 582 2191 2095 1300 1067 1300 1067 1251 1403 1075 1024 2048 651 651 1061 1061 2048 "
)

_BOLD = (
    "713 934 1067 1716 1425 2052 1786 627 936 936 1071 1716 778 850 778 748 1425 1425 1425 1425 1425 1425 1425 "
    "1425 1425 1425 819 819 1716 1716 1716 1188 2048 1585 1561 1503 1700 1399 1399 1681 1714 762 762 1587 1305 "
    "2038 1714 1741 1501 1741 1577 1475 1397 1663 1585 2259 1579 1483 1485 936 748 936 1716 1024 1024 1382 1466 "
    "1214 1466 1389 891 1466 1458 702 702 1362 702 2134 1458 1407 1466 1466 1010 1219 979 1458 1335 1892 1321 "
    "1335 1192 1458 748 1458 1716 934 1425 1425 1303 1425 748 1024 1024 2048 1155 1323 1716 2048 1024 1024 1716 "
    "897 897 1024 1507 1303 778 1024 897 1155 1323 2120 2120 2120 1188 1585 1585 1585 1585 1585 1585 2222 1503 "
    "1399 1399 1399 1399 762 762 762 762 1716 1714 1741 1741 1741 1741 1741 1716 1741 1663 1663 1663 1663 1483 "
    "1511 1473 1382 1382 1382 1382 1382 1382 2146 1214 1389 1389 1389 1389 702 702 702 702 1407 1458 1407 1407 "
    "1407 1407 1407 1716 1407 1458 1458 1458 1458 1335 1466 1335 1503 1214 1503 1214 1229 1229 1229 1466 1681 "
    "1466 762 702 1315 760 2390 2241 1475 1219 1475 1219 1483 1485 1192 1024 2048 778 778 1346 1346 2048 "
)

_EM = 2048.0
_WIDTHS = {
    bold: dict(zip(_LETTERS, (int(number) for number in numbers.split()), strict=True))
    for bold, numbers in ((False, _REGULAR), (True, _BOLD))
}


def _bare(letter: str) -> str:
    """A letter as the type has it, without its accent where it has only that; empty where it has neither."""
    if letter in _WIDTHS[False]:
        return letter
    bare = "".join(c for c in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(c))
    return bare if all(c in _WIDTHS[False] for c in bare) else ""


def plain(words: str) -> str:
    """Words as the type has them, with a question mark for each letter that it has not."""
    return "".join(_bare(letter) or "?" for letter in unicodedata.normalize("NFC", words))


def printable(words: str, field: str) -> str:
    """Words as the sheets can print them: blanks tidied, rare accents dropped where the type has the bare letter.

    Args:
        words: any text.
        field: what the text is, for the message.

    Raises:
        PartError: a letter cannot be printed.
    """
    tidy = " ".join(unicodedata.normalize("NFC", words).split())
    letters = []
    for letter in tidy:
        found = _bare(letter)
        if not found:
            raise PartError(
                f"{field}: {words!r} has the letter {letter!r}, which the templates cannot print; use Latin letters"
            )
        letters.append(found)
    return "".join(letters)


def width(words: str, size: float, bold: bool = False) -> float:
    """Width [mm] of words in type of a size [pt]."""
    return sum(_WIDTHS[bold][letter] for letter in words) / _EM * size * POINT


def wrap(words: str, widest: float, size: float, bold: bool = False) -> tuple[str, ...]:
    """Words as lines no wider than `widest` [mm] in type of a size [pt]; a word too long for a line is broken."""
    lines: list[str] = []
    line = ""
    for word in words.split():
        longer = f"{line} {word}" if line else word
        if width(longer, size, bold) <= widest:
            line = longer
            continue
        if line:
            lines.append(line)
        line = ""
        for letter in word:
            if line and width(line + letter, size, bold) > widest:
                lines.append(line)
                line = ""
            line += letter
    return (*lines, line) if line else tuple(lines)


def size_to_fit(words: str, widest: float, largest: float, smallest: float, bold: bool = False) -> float:
    """Largest type [pt], in half points, in which words are no wider than `widest` [mm]; at least `smallest` [pt]."""
    size = largest
    while size > smallest and width(words, size, bold) > widest:
        size -= 0.5
    return max(size, smallest)


def cut_to_fit(words: str, widest: float, size: float, bold: bool = False) -> str:
    """Words, or as much of them as fits in `widest` [mm] with an ellipsis to show that some are missing."""
    if width(words, size, bold) <= widest:
        return words
    while words and width(words + "…", size, bold) > widest:
        words = words[:-1]
    return words.rstrip() + "…"
