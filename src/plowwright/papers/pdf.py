"""Sets a paper with typst: offline, in milliseconds, the same bytes for the same paper and moment.

The source of a paper is typst text that begins with `#import "sheet.typ": *`. It finds its data in `data`
and its pictures by name through `picture("name")`; both come from here, never from outside the machine.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import lru_cache
from importlib import resources
from typing import Literal, cast

import typst

from plowwright.errors import EntryError, ModelError
from plowwright.papers import clock, fonts

PaperSize = Literal["us-letter", "a4"]


def compile(
    source: str,
    *,
    pictures: Mapping[str, str] | None = None,
    data: Mapping[str, object] | None = None,
    when: datetime | None = None,
) -> bytes:
    """The paper as PDF.

    Args:
        source: Typst text of the paper.
        pictures: SVG text by the name the source uses.
        data: What the source finds in `data`; anything JSON can carry.
        when: Date written into the file; left out, now, or the fixed date of the test mode.
    """
    moment = clock.moment(when).replace(microsecond=0)
    return _set(source, pictures=pictures or {}, data=data or {}, moment=moment, kind="pdf", ppi=None)[0]


def pages_png(
    source: str,
    *,
    pictures: Mapping[str, str] | None = None,
    data: Mapping[str, object] | None = None,
    ppi: float = 110.0,
) -> list[bytes]:
    """Each page of the paper as a picture, for a screen.

    Args:
        source: Typst text of the paper.
        pictures: SVG text by the name the source uses.
        data: What the source finds in `data`.
        ppi: Dots per inch [1/in].
    """
    return _set(source, pictures=pictures or {}, data=data or {}, moment=clock.FIXED, kind="png", ppi=ppi)


@lru_cache(maxsize=1)
def _fonts() -> typst.Fonts:
    shipped = [str(fonts.FOLDER)] if fonts.faces() else []
    return typst.Fonts(include_system_fonts=not shipped, include_embedded_fonts=True, font_paths=shipped)


def _set(
    source: str,
    *,
    pictures: Mapping[str, str],
    data: Mapping[str, object],
    moment: datetime,
    kind: Literal["pdf", "png"],
    ppi: float | None,
) -> list[bytes]:
    template = resources.files("plowwright.papers").joinpath("typ", "sheet.typ").read_bytes()
    files = {"main": source.encode("utf-8"), "sheet.typ": template, "data.json": _json(data)}
    for name, picture in pictures.items():
        files[f"pictures/{name}.svg"] = picture.encode("utf-8")
    families: Sequence[str] = [fonts.family()] if fonts.faces() else list(fonts.FALLBACK[:-1])
    try:
        made = typst.compile(
            cast(bytes, files),  # the library takes files by name as well, its stubs do not say so
            format=kind,
            ppi=ppi,
            font_paths=_fonts(),
            sys_inputs={"families": json.dumps(families), "pictures": json.dumps(sorted(pictures))},
            timestamp=moment,
        )
    except typst.TypstError as error:
        raise ModelError(
            "the paper could not be set",
            value=error.message,
            way_out="; ".join(error.hints) or "See the line of the paper's source named by the message.",
            where=str(data.get("title", "")),
        ) from error
    if made is None:
        raise ModelError("the paper came out empty", where=str(data.get("title", "")))
    return [made] if isinstance(made, bytes) else made


def _json(data: Mapping[str, object]) -> bytes:
    try:
        return json.dumps(data, ensure_ascii=False, sort_keys=True, allow_nan=False).encode("utf-8")
    except (TypeError, ValueError) as error:
        raise EntryError(
            "the data of a paper must be plain text, finite numbers, lists and mappings", value=str(error)
        ) from error
