"""Writes a picture as SVG, for pages, for typst and for printing; the same picture gives the same bytes."""

from __future__ import annotations

from functools import lru_cache
from xml.sax.saxutils import escape, quoteattr

from plowwright.papers import fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import Circle, Group, Label, Mark, Outlines, Path, Pen, arc_radius

INK = {
    "ink": "#1e2a32",
    "accent": "#1f6f5c",
    "hair": "#c9c4b6",
    "near": "#8a5a00",
    "fails": "#9c2f23",
    "paper": "#ffffff",
    "tint": "#e9e6dc",
}
"""Colours on paper; pages set their own through `stylesheet`."""
_ANCHOR = {"left": "start", "middle": "middle", "right": "end"}


def number(value: float) -> str:
    """A length to 0.01 mm, without needless digits and without a negative zero."""
    return _hundredths(round(100.0 * value))


@lru_cache(maxsize=1 << 16)
def _hundredths(count: int) -> str:
    """So many hundredths; a drawing says some thousands of them, many more than once."""
    return f"{count / 100:.2f}".rstrip("0").rstrip(".")


@lru_cache(maxsize=4096)
def _opening(name: str, part: str, title: str) -> str:
    """How a group begins; from one blade to the next most are the same."""
    attributes = f" id={quoteattr(name)}" if name else ""
    attributes += f" data-part={quoteattr(part)}" if part else ""
    return f"<g{attributes}>" + (f"<title>{escape(title)}</title>" if title else "")


def stylesheet() -> str:
    """Rules for pages that carry pictures inline: colours follow the page's variables, by day and by night.

    The page defines --ink, --paper, --hair, --tint, --accent, --near and --fails; what it leaves out falls
    back to the colours on paper.
    """
    rules = [f".line-{name}{{stroke:var(--{name},{value})}}" for name, value in INK.items()]
    rules += [f".fill-{name}{{fill:var(--{name},{value})}}" for name, value in INK.items()]
    rules.append(f".halo{{stroke:var(--paper,{INK['paper']})}}")
    return "".join(rules)


def write(
    picture: Picture,
    *,
    title: str,
    description: str = "",
    inline: bool = False,
    css_class: str = "",
    prefix: str = "",
) -> str:
    """The picture as one SVG element.

    Args:
        picture: What to write.
        title: Its name, for screen readers and pointers.
        description: What it shows, for screen readers.
        inline: For the middle of a page: no XML header, no size of its own, and classes for the page's
            colours and parts.
        css_class: Class of the outer element, inline only.
        prefix: Put before the id of every group, so that two pictures can share a page.
    """
    writer = _Writer(height=picture.height, inline=inline, prefix=prefix)
    body = "\n".join(line for mark in picture.marks for line in writer.mark(mark))
    width, height = number(picture.width), number(picture.height)
    size = "" if inline else f' width="{width}mm" height="{height}mm"'
    style = f" class={quoteattr(css_class)}" if inline and css_class else ""
    about = f"<title>{escape(title)}</title>"
    if description:
        about += f"<desc>{escape(description)}</desc>"
    head = "" if inline else '<?xml version="1.0" encoding="UTF-8"?>\n'
    label = f' role="img" aria-label={quoteattr(title)}'
    return (
        f'{head}<svg xmlns="http://www.w3.org/2000/svg"{style}{size} viewBox="0 0 {width} {height}"{label}'
        f' font-family={quoteattr(fonts.stack())} stroke-linecap="round" stroke-linejoin="round" fill="none">'
        f"{about}\n{body}\n</svg>\n"
    )


class _Writer:
    """Turns marks into SVG lines, page y up into SVG y down."""

    def __init__(self, *, height: float, inline: bool, prefix: str) -> None:
        self._height = height
        self._inline = inline
        self._prefix = prefix
        self._taken: dict[str, int] = {}
        self._paints: dict[tuple[int, str], str] = {}

    def mark(self, mark: Mark) -> list[str]:
        """One mark, a group opened with all it holds."""
        if isinstance(mark, Group):
            return self._group(mark)
        if isinstance(mark, Path):
            return [self._path(mark)]
        if isinstance(mark, Outlines):
            return self._outlines(mark)
        if isinstance(mark, Circle):
            at = f'cx="{number(mark.x)}" cy="{number(self._height - mark.y)}" r="{number(mark.radius)}"'
            return [f"<circle {at}{self._paint(mark.pen, mark.fill)}/>"]
        return [self._label(mark)]

    def _group(self, group: Group) -> list[str]:
        lines = [_opening(self._id(group.name) if group.name else "", group.part, group.title)]
        for mark in group.marks:
            lines += self.mark(mark)
        lines.append("</g>")
        return lines

    def _id(self, name: str) -> str:
        plain = self._prefix + name.replace(" ", "-")
        count = self._taken[plain] = self._taken.get(plain, 0) + 1
        return plain if count == 1 else f"{plain}-{count}"

    def _path(self, path: Path) -> str:
        vertices, height = path.vertices, self._height
        places = [f"{_hundredths(round(100.0 * x))} {_hundredths(round(100.0 * (height - y)))}" for x, y, _ in vertices]
        steps = f"M{'L'.join(places)}" if not any(v[2] for v in vertices) else self._arcs(path, places)
        close = "Z" if path.closed else ""
        return f'<path d="{steps}{close}"{self._paint(path.pen, path.fill)}/>'

    def _outlines(self, outlines: Outlines) -> list[str]:
        x, y = 100.0 * outlines.start[0], 100.0 * (self._height - outlines.start[1])
        across, down = 100.0 * outlines.step[0], -100.0 * outlines.step[1]
        paint = self._paint(outlines.pen, outlines.fill)
        lines: list[str] = []
        for ring in outlines.rings:
            places = [f"{_hundredths(round(x + across * u))} {_hundredths(round(y + down * v))}" for u, v in ring]
            lines.append(f'<path d="M{"L".join(places)}Z"{paint}/>')
        return lines

    def _arcs(self, path: Path, places: list[str]) -> str:
        """The steps of a run in which some are arcs; a straight one back to the start is left to the closing."""
        vertices = path.vertices
        steps = [f"M{places[0]}"]
        for at, (x, y, bulge) in enumerate(vertices):
            to = (at + 1) % len(vertices)
            if not to and not (path.closed and bulge):
                break
            if not bulge:
                steps.append(f"L{places[to]}")
                continue
            radius = number(arc_radius((x, y), (vertices[to][0], vertices[to][1]), bulge=bulge))
            steps.append(f"A{radius} {radius} 0 {int(abs(bulge) > 1)} {int(bulge < 0)} {places[to]}")
        return "".join(steps)

    def _label(self, label: Label) -> str:
        drop = {"base": 0.0, "centre": fonts.cap_height(label.size) / 2, "top": fonts.cap_height(label.size)}
        x, y = number(label.x), number(self._height - label.y)
        lower = f' dy="{number(drop[label.stand])}"' if label.stand != "base" else ""
        turn = f' transform="rotate({number(-label.rotate)} {x} {y})"' if label.rotate else ""
        bold = f' font-weight="{fonts.BOLD_WEIGHT}"' if label.weight == "bold" else ""
        classes = [f"fill-{label.colour}"]
        rim = ""
        if label.halo:
            rim = f' stroke="{INK["paper"]}" stroke-width="0.9" paint-order="stroke"'
            classes.append("halo")
        named = f' class="{" ".join(classes)}"' if self._inline else ""
        anchor = _ANCHOR[label.anchor]
        return (
            f'<text x="{x}" y="{y}"{lower} font-size="{number(label.size)}" text-anchor="{anchor}"'
            f'{bold}{turn} fill="{INK[label.colour]}"{rim}{named}>{escape(label.text)}</text>'
        )

    def _paint(self, pen: Pen | None, fill: str) -> str:
        """Fill and stroke; in a page its stylesheet gives the colours, so that they follow day and night."""
        # The picture holds its pens, so none of their numbers is given to another while it is written.
        known = self._paints.get((id(pen), fill))
        if known is not None:
            return known
        text = ""
        classes: list[str] = []
        if fill != "none":
            text += "" if self._inline else f' fill="{INK[fill]}"'
            classes.append(f"fill-{fill}")
        if pen is not None:
            text += "" if self._inline else f' stroke="{INK[pen.colour]}"'
            text += f' stroke-width="{number(pen.width)}"'
            classes.append(f"line-{pen.colour}")
            if pen.dash:
                text += f' stroke-dasharray="{" ".join(number(part) for part in pen.dash)}"'
        if self._inline and classes:
            text += f' class="{" ".join(classes)}"'
        self._paints[(id(pen), fill)] = text
        return text
