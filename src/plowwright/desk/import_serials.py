"""Blades that left the shop brought in from a list, each with its build by the rules of its day and its chapters."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any, Final

from plowwright.blade import spec as specs
from plowwright.blade.build import Build
from plowwright.blade.spec import Spec
from plowwright.desk import past
from plowwright.desk.import_chapters import chapters_said, read_chapters
from plowwright.desk.import_days import bare
from plowwright.desk.import_known import People, Writer, people_of
from plowwright.desk.import_order_rows import bare_spec, spec_of_row
from plowwright.desk.import_rows import ReadRow, Row, inches_said, twice
from plowwright.errors import EntryError, SpecError
from plowwright.papers.lists import Column
from plowwright.papers.tables_in import Entry
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.versions import versions
from plowwright.shop.service_marks import marks_of
from plowwright.shop.service_past import Past, past_from_dict
from plowwright.store import as_built
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.store.reading import Reads
from plowwright.units import inches

NEEDS: Final = ("serial", "built", "series", "width", "mount")
KNOWS: Final = (
    "customer", "phone ends", "machine", "carrier kind", "hoses", "outlets", "extras", "colour", "note", "chapters",
)  # fmt: skip
OTHERS: Final = {
    "serial": ("serial number", "serial no", "stamp"),
    "built": ("built on", "date built", "left on", "left"),
    "series": ("class", "duty class"),
    "width": ("edge width", "blade width"),
    "mount": ("mount plate", "coupling"),
    "customer": ("name", "owner", "buyer", "client"),
    "phone ends": ("phone", "last figures", "last four", "telephone"),
    "machine": ("carrier", "tractor", "loader"),
    "carrier kind": ("kind of carrier", "kind of machine", "machine kind", "machine type"),
    "hoses": ("hose set", "couplers"),
    "outlets": ("outlet side", "side"),
    "extras": ("options", "with"),
    "colour": ("color", "paint"),
    "note": ("notes", "remark", "remarks", "comment", "comments"),
    "chapters": ("history", "life", "what happened"),
}
_CODES: Final = {"not a serial number": "not-a-serial", "serial and blade do not agree": "serial-disagrees"}


def columns() -> tuple[Column, ...]:
    """The columns of a list of past blades."""
    order = ("serial", "built", "customer", "phone ends", "machine", "carrier kind", "series", "width", "mount",
             "hoses", "outlets", "extras", "colour", "note", "chapters")  # fmt: skip
    return tuple(Column(field=name, heading=name, unit="in" if name == "width" else "") for name in order)


@dataclass(frozen=True, kw_only=True)
class _There:
    people: People
    blades: Mapping[str, tuple[date | None, Spec | None]] = field(
        default_factory=dict[str, "tuple[date | None, Spec | None]"]
    )


class Serials:
    """Brings past blades in.

    Args:
        rulebook: The rules in force; older ones stand beside it.
    """

    def __init__(self, rulebook: Rulebook) -> None:
        self._rulebook = rulebook
        self._read: dict[Path, Rulebook] = {rulebook.folder: rulebook}
        self._days = sorted(line.date for line in versions(rulebook.folder))
        self._built: dict[tuple[Spec, date | None], Build] = {}

    def read(self, entries: Sequence[Entry], reads: Reads | None) -> list[ReadRow]:
        """Every row read and held against what is there.

        Args:
            entries: The rows.
            reads: The records, None where none are open.
        """
        there = _There(people=people_of(reads), blades=_blades(reads)) if reads else _There(people=People())
        rows = [Row(entry) for entry in entries]
        values = [self._row(row, there) for row in rows]
        twice([(row, v.serial if v else None) for row, v in zip(rows, values, strict=True)], "serial")
        return [_outcome(row, value, there) for row, value in zip(rows, values, strict=True)]

    def write(self, c: Command, rows: Sequence[ReadRow], _source: str) -> list[str]:
        """Write the new ones.

        Args:
            c: The command.
            rows: As `read` gave them inside the same command.

        Returns:
            Their serial numbers, in the order of the rows.
        """
        writer, out = Writer(c), list[str]()
        for row in rows:
            if row.value is None:
                continue
            one: Past = row.value
            build = self._build(one)
            kept = writer.kept(build)
            marks = marks_of(build, serial=one.serial, built=one.built,
                             colour=one.colour or build.rulebook.shop.body_colour, phone=one.phone_ends,
                             owner=one.customer)  # fmt: skip
            c.add(
                r.Blade, serial=one.serial, build=kept.id,
                carrier=writer.machine(one.machine, one.spec.carrier_kind), built=one.built, marks=marks.as_dict(),
                customer=writer.customer(one.customer, one.phone_ends, strict=False), note=one.note,
            )  # fmt: skip
            for chapter in one.life.chapters:
                first = kept.id if chapter.kind == "as-built" else None
                as_built.write_chapter(c, one.serial, replace(chapter, replaces=None), build=first)
            out.append(one.serial)
        return out

    def sums(self, rows: Sequence[ReadRow], written: Sequence[str], reads: Reads) -> list[tuple[str, str, str]]:
        """What the file says and what the records now have of it: what, file, records.

        Args:
            rows: The rows.
            written: Serial numbers that were written.
            reads: The records after it.
        """
        values: list[Past] = [row.value for row in rows if row.value is not None]
        blades = reads.find(r.Blade, serial=list(written)) if written else ()
        chapters = reads.find(r.Chapter, serial=list(written)) if written else ()
        parts = reads.find(r.Fitted, serial=list(written)) if written else ()
        widths = sum(round(inches(v.spec.width)) for v in values)
        found = sum(round(inches(b.marks["width"])) for b in blades)
        return [
            ("blades", str(len(values)), str(len(blades))),
            ("sum of their widths", f"{widths:,} in", f"{found:,} in"),
            ("chapters, the as-built one each included", str(sum(len(v.life.chapters) for v in values)),
             str(len(chapters))),
            ("fitted parts", str(sum(len(c.fitted) for v in values for c in v.life.chapters)), str(len(parts))),
        ]  # fmt: skip

    def _row(self, row: Row, there: _There) -> Past | None:
        if row.text("customer").casefold().startswith("example"):
            row.note("example", "look", "customer", "the example row of the template", way_out="It is left out.")
            return None
        serial, built = row.text("serial", must=True).upper(), row.day("built", must=True)
        customer, phone = row.text("customer"), row.text("phone ends")
        meant = there.people.meant(row, customer, phone, "phone ends", strict=False) if customer else None
        said = row.text("machine")
        machine = there.people.machines.get(bare(said)) if said else None
        spec = spec_of_row(row, self._rulebook, machine, by_its_day=True)
        if row.is_wrong or spec is None or built is None:
            return None
        try:
            one = past_from_dict(
                {"serial": serial, "built": built, "spec": {**spec.as_dict(), "width": f"{spec.width!r} m"},
                 "customer": meant.name if meant else customer, "machine": machine.name if machine else said,
                 "phone_ends": phone, "colour": row.text("colour"), "note": row.text("note"),
                 "chapters": read_chapters(row.entry.text("chapters"))},
                where="",
            )  # fmt: skip
            self._build(one)
        except SpecError as error:
            row.refused("width-not-built" if "is not built" in error.what else "clash", "", error)
        except EntryError as error:
            row.refused(_CODES.get(error.what, "not-known"), "serial" if error.what in _CODES else "chapters", error)
        else:
            return one
        return None

    def _build(self, one: Past) -> Build:
        day = max((d for d in self._days if d <= one.built), default=None)
        key = (one.spec, day)
        if key not in self._built:
            self._built[key] = past.built(one, self._rulebook, self._read)
        return self._built[key]


def _outcome(row: Row, value: Past | None, there: _There) -> ReadRow:
    line, said = row.entry.line, f"{row.text('serial').upper() or 'no serial'} for {row.text('customer') or 'nobody'}"
    if value is not None and not row.is_wrong and value.serial in there.blades:
        built, spec = there.blades[value.serial]
        for column, mine, theirs in (
            ("built", value.built, built),
            ("series", _same(value.spec), _same(spec) if spec else None),
        ):
            if mine != theirs:
                told = str(theirs) if column == "built" else "another blade"
                row.note("differs", "wrong", column, f"the records say {told} of {value.serial}",
                         value=row.text(column), way_out="Write a chapter on its page, or mend the list.")  # fmt: skip
        if not row.is_wrong:
            row.note("there-already", "there", "", f"{value.serial} is in the records already",
                     way_out="Its chapters there stand.")  # fmt: skip
            return ReadRow(line=line, said=said, outcome="already there", noted=tuple(row.noted))
    if row.is_wrong:
        return ReadRow(line=line, said=said, outcome="wrong", noted=tuple(row.noted))
    if value is None:
        return ReadRow(line=line, said=said, outcome="left out", noted=tuple(row.noted))
    told = f"{said}, {len(value.life.chapters)} chapter{'s' if len(value.life.chapters) > 1 else ''}"
    return ReadRow(line=line, said=told, outcome="new", noted=tuple(row.noted), value=value)


def _same(spec: Spec) -> Spec:
    """A blade to a hundredth of a millimetre, whatever unit its width was written in."""
    return replace(bare_spec(spec), width=round(spec.width, 5), extras=tuple(sorted(spec.extras)))


def _blades(reads: Reads) -> dict[str, tuple[date | None, Spec | None]]:
    builds = {one.id: bare_spec(specs.from_dict(one.spec)) for one in reads.find(r.KeptBuild)}
    return {b.serial: (b.built, builds.get(b.build) if b.build is not None else None) for b in reads.find(r.Blade)}


def listed(reads: Reads) -> list[dict[str, Any]]:
    """Every blade as a row of a list that can be brought in again.

    Args:
        reads: A steady view.
    """
    builds = {one.id: one for one in reads.find(r.KeptBuild)}
    people = {one.id: one for one in reads.find(r.Customer)}
    machines = {one.id: one for one in reads.find(r.CarrierFacts)}
    rows: list[dict[str, Any]] = []
    for blade in reads.find(r.Blade):
        build = builds.get(blade.build) if blade.build is not None else None
        if build is None:
            continue
        spec = specs.from_dict(build.spec)
        life = as_built.life_of(reads.life(blade.serial))
        # The as-built chapter is written anew from built and customer.
        told = [one for one in life.standing if not (one.kind == "as-built" and one.said.startswith("built for "))]
        rows.append({
            "serial": blade.serial, "built": f"{blade.built:%Y-%m-%d}" if blade.built else "",
            "customer": people[blade.customer].name if blade.customer is not None else "",
            "phone ends": blade.marks.get("phone_ends", ""), "carrier kind": spec.carrier_kind,
            "machine": machines[blade.carrier].name if blade.carrier is not None else "", "series": spec.series,
            "width": inches_said(spec.width), "mount": spec.mount, "hoses": spec.hoses, "outlets": spec.outlets,
            "extras": ", ".join(sorted(spec.extras)), "colour": blade.marks.get("colour", ""), "note": blade.note,
            "chapters": chapters_said(told),
        })  # fmt: skip
    return rows


def example(rulebook: Rulebook, today: date, order: Mapping[str, Any]) -> dict[str, Any]:
    """The example row of the template.

    Args:
        rulebook: The rules in force.
        today: The shop's day.
        order: The example row of a list of orders, whose blade it is.
    """
    same = ("carrier kind", "series", "width", "mount", "hoses", "outlets", "extras", "customer")
    letter = rulebook.series[order["series"]].name[0].upper()
    return {
        **{name: order[name] for name in same}, "serial": f"{letter}{float(order['width']):.0f}-{today:%y}-001",
        "built": f"{today:%Y-%m-%d}", "phone ends": "0000", "machine": "", "colour": rulebook.shop.body_colour,
        "note": "", "chapters": f"{today:%Y-%m-%d} test card: proved [seconds each way = 4.0 s]",
    }  # fmt: skip

