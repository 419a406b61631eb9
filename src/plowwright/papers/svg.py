"""Writes a picture as SVG, for pages, for typst and for printing; the same picture gives the same bytes."""

from __future__ import annotations

from xml.sax.saxutils import escape, quoteattr

from plowwright.papers import fonts
from plowwright.papers.drawing import Picture
from plowwright.papers.marks import Circle, Group, Label, Mark, Path, Pen, arc_radius

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
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


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

    def mark(self, mark: Mark) -> list[str]:
        """One mark, a group opened with all it holds."""
        if isinstance(mark, Group):
            return self._group(mark)
        if isinstance(mark, Path):
            return [self._path(mark)]
        if isinstance(mark, Circle):
            at = f'cx="{number(mark.x)}" cy="{number(self._height - mark.y)}" r="{number(mark.radius)}"'
            return [f"<circle {at}{self._paint(mark.pen, mark.fill)}/>"]
        return [self._label(mark)]

    def _group(self, group: Group) -> list[str]:
        attributes = ""
        if group.name:
            attributes += f" id={quoteattr(self._id(group.name))}"
        if group.part:
            attributes += f" data-part={quoteattr(group.part)}"
        about = [f"<title>{escape(group.title)}</title>"] if group.title else []
        inside = [line for mark in group.marks for line in self.mark(mark)]
        return [f"<g{attributes}>", *about, *inside, "</g>"]

    def _id(self, name: str) -> str:
        plain = self._prefix + "-".join(name.split())
        self._taken[plain] = self._taken.get(plain, 0) + 1
        count = self._taken[plain]
        return plain if count == 1 else f"{plain}-{count}"

    def _path(self, path: Path) -> str:
        vertices = list(path.vertices)
        if path.closed and vertices:
            vertices.append(vertices[0])
        steps: list[str] = []
        for index, (x, y, _) in enumerate(vertices):
            place = f"{number(x)} {number(self._height - y)}"
            bulge = vertices[index - 1][2] if index else 0.0
            if not index:
                steps.append(f"M{place}")
            elif bulge:
                before = vertices[index - 1]
                radius = number(arc_radius((before[0], before[1]), (x, y), bulge=bulge))
                large, turn = int(abs(bulge) > 1), int(bulge < 0)
                steps.append(f"A{radius} {radius} 0 {large} {turn} {place}")
            elif not (path.closed and index == len(vertices) - 1):
                steps.append(f"L{place}")
        close = "Z" if path.closed else ""
        return f'<path d="{"".join(steps)}{close}"{self._paint(path.pen, path.fill)}/>'

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
        text = ""
        classes: list[str] = []
        if fill != "none":
            text += f' fill="{INK[fill]}"'
            classes.append(f"fill-{fill}")
        if pen is not None:
            text += f' stroke="{INK[pen.colour]}" stroke-width="{number(pen.width)}"'
            classes.append(f"line-{pen.colour}")
            if pen.dash:
                text += f' stroke-dasharray="{" ".join(number(part) for part in pen.dash)}"'
        if self._inline and classes:
            text += f' class="{" ".join(classes)}"'
        return text
