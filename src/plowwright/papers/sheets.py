"""Every paper of one worked-out blade: build sheet, bill, cut list, hole sheet, quote, lists, drawings and solids.

All of them are views of the same build, so two of them cannot disagree.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Literal

from plowwright import units
from plowwright.blade.carried import moved
from plowwright.blade.carriers import Carrier
from plowwright.blade.parts import Part
from plowwright.blade.suit.suits import suits
from plowwright.errors import MissingToolError, NotFoundError
from plowwright.papers import content, dxf, elevations, holding, labels, lists, pdf, plates, qr, svg, tables
from plowwright.papers import solids as solid_files
from plowwright.papers import step as step_files
from plowwright.papers.content import Paper, Sheet
from plowwright.papers.elevations import System
from plowwright.papers.fit_sheet import fit_sheet
from plowwright.papers.fitting_sheet import fitting_sheet
from plowwright.papers.holding_sheet import holding_sheet
from plowwright.papers.hose_sheet import hose_sheet
from plowwright.papers.kit_list import kit_list
from plowwright.papers.test_card import card_sheet
from plowwright.shop import quotes
from plowwright.shop.worked import Worked

PaperName = Literal["letter", "a4"]


@dataclass(frozen=True, kw_only=True)
class Written:
    """One file that was written.

    Attributes:
        path: Where it is.
        what: What it is, in plain words.
    """

    path: Path
    what: str


def write_papers(
    worked: Worked,
    folder: Path,
    *,
    system: System = "us",
    paper: PaperName = "letter",
    on: date,
    number: str = "",
    serial: str = "",
    solids: bool = False,
    progress: Callable[[str], None] | None = None,
) -> list[Written]:
    """Write every paper of a blade.

    Args:
        worked: The blade and its price.
        folder: Where to; made if missing.
        system: Units on the papers.
        paper: Sheet size.
        on: Day the papers carry.
        number: Order number, or "".
        serial: Serial number of the blade, "" before it has one.
        solids: Whether STEP solids are written as well.
        progress: Told the name of each paper before it is written.

    Raises:
        MissingToolError: STEP is asked for and its kernel is not installed.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written: list[Written] = []
    asked = jobs(worked, system=system, paper=paper, on=on, number=number, serial=serial, solids=solids)
    for name, what, make in asked:
        if progress:
            progress(what)
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(make())
        written.append(Written(path=path, what=what))
    return written


Job = tuple[str, str, Callable[[], bytes]]


def jobs(
    worked: Worked, *, system: System, paper: PaperName, on: date, number: str, solids: bool, serial: str = ""
) -> Iterator[Job]:
    """Name, plain words and maker of each paper, so that one can be written without the others.

    Args:
        worked: The blade and its price.
        system: Units on the papers.
        paper: Sheet size.
        on: Day the papers carry.
        number: Order number, or "".
        solids: Whether STEP solids are among them.
        serial: Serial number of the blade, "" before it has one.
    """
    build = worked.build
    sheet = Sheet(worked=worked, system=system, paper="us-letter" if paper == "letter" else "a4", on=on, number=number)
    yield "build sheet.pdf", "build sheet", lambda: _pdf(sheet, content.build_sheet(sheet))
    yield "bill of materials.pdf", "bill of materials", lambda: _pdf(sheet, content.bill_sheet(sheet))
    yield "cut list.pdf", "cut list", lambda: _pdf(sheet, content.cut_sheet(sheet))
    yield "hole sheet.pdf", "hole sheet", lambda: _pdf(sheet, content.hole_sheet(sheet))
    yield "fitting sheet.pdf", "fitting sheet", lambda: _pdf(sheet, fitting_sheet(sheet))
    yield "kit list.pdf", "kit list", lambda: _pdf(sheet, kit_list(sheet, build.carrier))
    yield "labels.pdf", "labels", lambda: _labels(sheet, serial)
    if build.rulebook.swing is not None:
        yield "test card.pdf", "test card", lambda: _pdf(sheet, card_sheet(sheet, build.carrier))
    if build.rulebook.plumbing is not None:
        yield "hose sheet.pdf", "hose sketch and hydraulic diagram", lambda: _hoses(sheet)
    if build.carrier is not None and build.rulebook.suit is not None:
        yield "fit sheet.pdf", "fit sheet for the customer", lambda: _fit(sheet, build.carrier)
    yield "quote.pdf", "quote for the customer", lambda: _pdf(sheet, content.quote_sheet(sheet))
    if build.holding is not None:
        yield "will it hold.pdf", "what it stands and what gives first", lambda: _pdf(sheet, holding_sheet(sheet))
    yield "quote.json", "the same quote, frozen", lambda: _frozen(sheet)
    yield (
        "lists.xlsx",
        "bill and cut list as a workbook",
        lambda: lists.write_xlsx(
            [tables.bill_table(build, system), tables.cut_table(build, system)], title=build.name, when=_noon(on)
        ),
    )
    for table in (tables.bill_table(build, system), tables.cut_table(build, system)):
        yield (
            f"{table.name}.csv",
            f"{table.name} as CSV",
            lambda table=table: lists.write_csv(table.rows, table.columns),
        )
    yield "elevations.svg", "elevations", lambda: _elevations(worked, system)
    yield "elevations.dxf", "elevations, true size, visible lines only", lambda: _elevations_dxf(worked, system)
    for part in plates.flat_parts(build):
        yield (
            f"plates/{part.mark}.dxf",
            f"{part.name} for the plasma table",
            lambda part=part: plates.plate_part_dxf(part, units="in" if system == "us" else "mm"),
        )
        yield f"plates/{part.mark}.svg", f"{part.name} with its size", lambda part=part: _plate_svg(part, system)
    yield "blade.glb", "solid for a viewer", lambda: _glb(worked)
    if solids:
        yield "blade.step", "solids for another CAD program", lambda: _step(worked)


def _noon(day: date) -> datetime:
    return datetime.combine(day, time(12), tzinfo=UTC)


def _pdf(sheet: Sheet, paper: Paper) -> bytes:
    code = qr.svg(sheet.link())
    return pdf.compile(
        content.source(paper.template), pictures={**paper.pictures, "qr": code}, data=paper.data, when=_noon(sheet.on)
    )


def _fit(sheet: Sheet, carrier: Carrier | None) -> bytes:
    # Its findings speak the units of the sheet, so it is worked out in them.
    with units.speaking(sheet.system):
        suit = suits(sheet.build, carrier) if carrier is not None else None
        if suit is None:
            raise NotFoundError("a fit sheet needs the carrier", way_out="Name it with --carrier, or in the order.")
        paper = fit_sheet(sheet, suit)
    return _pdf(sheet, paper)


def _hoses(sheet: Sheet) -> bytes:
    build = sheet.build
    return _pdf(sheet, hose_sheet(sheet, moved(build, build.carrier), build.carrier))


def _labels(sheet: Sheet, serial: str) -> bytes:
    paper = labels.labels(labels.of_blade(sheet, serial=serial), shop=sheet.build.rulebook.shop, paper=sheet.paper)
    return pdf.compile(content.source(paper.template), pictures=paper.pictures, data=paper.data, when=_noon(sheet.on))


def _frozen(sheet: Sheet) -> bytes:
    return (json.dumps(content.frozen_quote(sheet).as_dict(owner=True), indent=1, sort_keys=True) + "\n").encode()


def frozen(text: str) -> quotes.Quote:
    """A quote read back from its file.

    Args:
        text: What `quote.json` holds.

    Raises:
        EntryError: Something is missing in it.
    """
    return quotes.from_dict(json.loads(text), where="quote.json")


def _elevations(worked: Worked, system: System) -> bytes:
    picture, scale = elevations.four_views(worked.build, width=260.0, system=system)
    return svg.write(picture, title=f"{worked.build.name}, elevations, 1:{scale:g}").encode()


def _elevations_dxf(worked: Worked, system: System) -> bytes:
    picture, view = elevations.drawn_in_lines(worked.build, system=system)
    return dxf.elevation_dxf(
        picture, view=view, units="in" if system == "us" else "mm", name=f"{worked.build.name}, elevations"
    )


def _plate_svg(part: Part, system: System) -> bytes:
    picture = plates.plate_part_picture(part, width=150.0, height=110.0, system=system)
    return svg.write(picture, title=f"{part.mark}, {part.stock}").encode()


def _glb(worked: Worked) -> bytes:
    return solid_files.glb(worked.build.assembly)


def _step(worked: Worked) -> bytes:
    if not step_files.kernel_installed():
        raise MissingToolError(
            "STEP needs the CAD kernel, which is not installed", way_out="Set up with: make run SOLIDS=1"
        )
    return step_files.step(worked.build.assembly, title=worked.build.name)


def plain_lines(worked: Worked, number: str = "", *, system: System = "us") -> list[str]:
    """What the papers say, in a few plain lines.

    Args:
        worked: The blade and its price.
        number: Order number, or "".
        system: US or metric.
    """
    build, price = worked.build, worked.price
    ahead, _, high = (units.say(c, "length", system=system) for c in build.centre_of_gravity)
    checked = holding.own_findings(build)
    open_points = [f for f in checked if f.verdict != "holds"]
    head = f"Order {number}: " if number else ""
    lines = [
        f"{head}{build.name}, {build.series.duty_class} class, build {build.fingerprint}.",
        f"It weighs {units.say(build.mass, 'mass', system=system)} by the model;"
        f" its centre of gravity lies {ahead} ahead of the mount plate and {high} above the ground.",
        f"{sum(r.quantity for r in build.bill.rows)} pieces under {units.counted(len(build.bill.rows), 'mark')};"
        f" list price {price.currency} {price.total:,.0f}, deposit {price.currency} {price.deposit:,.0f}.",
        f"{len(checked)} things checked, {len(checked) - len(open_points)} hold.",
    ]
    return [*lines, *(f"{f.verdict}: {f.text}" for f in open_points), *holding.lines(build)]
