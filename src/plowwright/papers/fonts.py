"""The one family of letters on every paper and page, and how wide a text will be.

The files lie in `papers/fonts/` and ship with the program, so a sheet looks the same on every machine.
Where the folder is empty the names of plain system letters are used and widths are estimated.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from fontTools.ttLib import TTFont

FOLDER = Path(__file__).parent / "fonts"
FALLBACK = ("Arial", "Helvetica", "Liberation Sans", "DejaVu Sans", "sans-serif")
BOLD_WEIGHT = 600
_GUESSED_ADVANCE = 0.56
"""Width of an average letter as a share of the size, where no file can be asked [-]."""
_GUESSED_CAP_HEIGHT = 0.72


@dataclass(frozen=True, kw_only=True)
class Face:
    """One font file: its family, weight and the advance of every letter.

    Attributes:
        family: Name of the family as the file itself gives it.
        weight: Weight class of the file, 400 regular, 600 and up bold [-].
        path: Where the file lies.
        capital: Height of a capital as a share of the size [-].
        advances: Advance of each letter as a share of the size, by code point [-].
    """

    family: str
    weight: int
    path: Path
    capital: float
    advances: dict[int, float]


@lru_cache(maxsize=1)
def faces() -> tuple[Face, ...]:
    """Every upright face in the package's font folder, lightest first."""
    found: list[Face] = []
    if not FOLDER.is_dir():
        return ()
    for path in sorted(FOLDER.iterdir()):
        if path.suffix.lower() not in {".ttf", ".otf"} or "italic" in path.name.lower():
            continue
        with TTFont(path) as opened:
            font: Any = opened  # the library types its tables by their fields only at run time
            cmap = font.getBestCmap()
            per_em = font["head"].unitsPerEm
            widths = font["hmtx"].metrics
            name = font["name"].getDebugName(16) or font["name"].getDebugName(1) or path.stem
            advances = {code: widths[glyph][0] / per_em for code, glyph in cmap.items()}
            weight = int(font["OS/2"].usWeightClass)
            capital = font["OS/2"].sCapHeight / per_em or _GUESSED_CAP_HEIGHT
        found.append(Face(family=name, weight=weight, path=path, capital=capital, advances=advances))
    return tuple(sorted(found, key=lambda face: (face.weight, face.path.name)))


def family() -> str:
    """Name of the shipped family, or the first plain system family where none is shipped."""
    shipped = faces()
    return shipped[0].family if shipped else FALLBACK[0]


def stack() -> str:
    """The family and what to use where it is missing, as a page writes it."""
    shipped = [face.family for face in faces()][:1]
    names = shipped + list(FALLBACK)
    return ", ".join(f"'{name}'" if " " in name else name for name in names)


def text_width(text: str, *, size: float, weight: str = "regular") -> float:
    """Width of one line of text, in the unit of `size`.

    Args:
        text: The line.
        size: Size of the letters (em) [mm].
        weight: "regular" or "bold".
    """
    shipped = faces()
    if not shipped:
        share = _GUESSED_ADVANCE * (1.06 if weight == "bold" else 1.0)
        return share * size * len(text)
    wanted = BOLD_WEIGHT if weight == "bold" else 400
    face = min(shipped, key=lambda one: abs(one.weight - wanted))
    return size * sum(face.advances.get(ord(letter), _GUESSED_ADVANCE) for letter in text)


def cap_height(size: float) -> float:
    """Height of a capital, in the unit of `size`, to centre a line of text on a point."""
    shipped = faces()
    return size * (shipped[0].capital if shipped else _GUESSED_CAP_HEIGHT)
