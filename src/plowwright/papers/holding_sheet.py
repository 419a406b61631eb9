"""The paper 'Will it hold': what gives first, the blade bent, every check by place, and what each rests on."""

from __future__ import annotations

from typing import Any

from plowwright.blade.holding import Holding
from plowwright.findings import Finding
from plowwright.papers import finding_rows, svg
from plowwright.papers import holding as parts
from plowwright.papers.content import DISCLAIMER, Paper, Sheet, room


def holding_sheet(sheet: Sheet) -> Paper:
    """Order of giving first, then the blade bent, every check by place, what they rest on, cautions.

    Args:
        sheet: What all papers of the blade share; its build must have been held against a carrier or none.
    """
    build, wide = sheet.build, room(sheet)
    holding = build.holding
    assert holding is not None
    pictures: dict[str, str] = {}
    for place, picture in parts.giving_pictures(holding, width=wide, system=sheet.system):
        pictures[place] = svg.write(picture, title=f"what gives first at the {place} of the edge")
    bends = 0
    for title, picture in parts.bent_pictures(holding, width=wide, system=sheet.system, beside=True):
        pictures[f"bent{bends}"] = svg.write(picture, title=f"{build.name} bent, {title}")
        bends += 1
    listed, numbered = _listed(holding, pictures)
    data = {
        "head": sheet.head("Will it hold", f"{build.name} on {parts.on_what(build)}"),
        "said": parts.counted(holding.findings),
        "model": parts.model_said(holding),
        "order": [name for name in ("corner", "centre") if name in pictures],
        "sentences": parts.sentences(holding),
        "bent": [f"bent{number}" for number in range(bends)],
        "chapters": listed,
        "grounds": [ground.as_dict() for ground in finding_rows.grounds(numbered, said=("force rests on",))],
        "cautions": list(parts.CAUTIONS),
        "disclaimer": DISCLAIMER,
    }
    return Paper(template="holding.typ", data=data, pictures=pictures)


def _listed(
    holding: Holding, pictures: dict[str, str]
) -> tuple[list[dict[str, Any]], list[tuple[str, Finding]]]:
    """Chapters for the template, and every finding with its number; bars go into the pictures."""
    listed: list[dict[str, Any]] = []
    numbered: list[tuple[str, Finding]] = []
    for chapter in parts.chapters(holding):
        rows: list[dict[str, Any]] = []
        for finding in (*chapter.open, *chapter.held):
            number = str(len(numbered) + 1)
            numbered.append((number, finding))
            name = ""
            if finding.used is not None:
                name = f"bar{number}"
                pictures[name] = finding_rows.bar(finding)
            below = parts.below(finding)
            rows.append({"number": number, **finding_rows.row(finding, name=finding.title, bar=name, below=below)})
        unsaid = [[f.title, finding_rows.because(f).removeprefix("because ")] for f in chapter.unsaid]
        listed.append({"name": chapter.name, "rows": rows, "unsaid": unsaid})
    return listed, numbered
