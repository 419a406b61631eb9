"""Strength at the desk: the carrier of an order by its name, what a blade stands on it, what a width limit rests on."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from threading import Lock
from typing import Any, Literal, TypeVar

from plowwright import units
from plowwright.blade import carriers as carrier_files
from plowwright.blade import evidence as evidence_of
from plowwright.blade.build import held
from plowwright.blade.carrier_facts import ASSUMED, Spreads
from plowwright.blade.carriers import Carrier
from plowwright.blade.evidence import Evidence
from plowwright.blade.spans import Span
from plowwright.errors import NotFoundError, RulebookError
from plowwright.papers import evidence as pictures
from plowwright.rulebook.reading import Rulebook
from plowwright.rulebook.refusals import near_names
from plowwright.shop.worked import Worked
from plowwright.units.constants import LBF

FOLDER = "carriers"
"""Name of the folder beside orders.toml that holds a file for each known carrier."""
KEPT = 24
"""How many blades with their strength are kept at hand."""
BEYOND = 4
"""Widths looked at past a width limit."""
_Answer = TypeVar("_Answer")


class Strength:
    """What can be said of a shop's blades on the carriers it knows.

    Args:
        rulebook: The rules in force.
        folder: Folder of carrier files, or None where there is none.
    """

    def __init__(self, rulebook: Rulebook, folder: Path | None = None) -> None:
        self._rulebook = rulebook
        self._folder = folder
        self._held: OrderedDict[Hashable, Worked] = OrderedDict()
        self._shown: OrderedDict[Hashable, Evidence] = OrderedDict()
        # The pages ask from several threads at once.
        self._lock = Lock()

    @cached_property
    def carriers(self) -> Mapping[str, Carrier]:
        """Every known carrier, by the name of its file.

        Raises:
            EntryError: Something in one of the files cannot be taken.
        """
        if self._folder is None or not self._folder.is_dir():
            return {}
        return carrier_files.load_all(self._folder, self._spreads())

    def carrier(self, name: str) -> Carrier | None:
        """The carrier called so, None for no name.

        Args:
            name: Name of a known carrier, or path of a carrier file.

        Raises:
            NotFoundError: Neither a known carrier nor a file.
            EntryError: Something in the file cannot be taken.
        """
        if not name:
            return None
        for key, carrier in self.carriers.items():
            if name.casefold() in (key.casefold(), carrier.name.casefold()):
                return carrier
        if name.endswith(".toml"):
            return carrier_files.load(name, self._spreads())
        known = [carrier.name for carrier in self.carriers.values()]
        raise NotFoundError(
            "no carrier is called so",
            value=name,
            way_out=near_names(name, known) if known else "Give a carrier file, such as carriers/k7.toml.",
        )

    def of_order(self, name: str) -> Carrier | None:
        """The carrier an order names, None where nothing is known of it: that is no fault of the order.

        Args:
            name: What the order calls it.
        """
        try:
            return self.carrier(name)
        except NotFoundError:
            return None

    def holding(
        self, worked: Worked, carrier: Carrier | None, *, level: Literal[1, 2] = 2, system: units.System = "us"
    ) -> Worked:
        """A blade with its strength looked at, kept at hand for the next time it is asked for.

        Args:
            worked: The blade.
            carrier: The machine that carries it, as far as it is known.
            level: 1: moldboard as a lattice; 2: as a shell.
            system: Units its sentences speak.

        Raises:
            ModelError: A part or joint cannot hold anything; it is named.
        """

        def work() -> Worked:
            with units.speaking(system):
                return replace(worked, build=held(worked.build, carrier, level=level))

        return self._kept(self._held, (worked.build.fingerprint, worked.build.spec, carrier, level, system), work)

    def evidence(
        self,
        series: str,
        *,
        changes: Mapping[str, str] | None = None,
        up_to: float | None = None,
        told: Callable[[str], None] = lambda said: None,
        system: units.System = "us",
    ) -> Evidence:
        """Corner strength of a series over its widths against strikes of a light, a middle and a heavy carrier.

        Args:
            series: Key of the series.
            changes: Fields of the class rows on trial, as `{"leg": "tube 3 x 3 x 1/4"}`.
            up_to: A width limit on trial [m], or None.
            told: Told each width before it is worked out; what it raises ends the work.
            system: Units its sentences speak.

        Raises:
            RulebookError: No such series, field or stock, or a width limit below the narrowest blade.
            ModelError: The rulebook has no strength.toml, or its rules give no blade.
        """
        row = self._rulebook.series.get(series)
        if row is not None and up_to is not None and up_to < row.from_ - 1e-6:
            raise RulebookError(
                "the width limit on trial lies below the narrowest blade",
                value=units.tape(up_to),
                limit=f"at least {units.tape(row.from_)}",
                way_out="Try a wider one.",
                where=row.name,
            )

        def work() -> Evidence:
            with units.speaking(system):
                return evidence_of.evidence(
                    self._rulebook,
                    series,
                    carriers=evidence_of.three_carriers(tuple(self.carriers.values())),
                    beyond=BEYOND,
                    changes=changes,
                    up_to=up_to,
                    told=told,
                )

        return self._kept(self._shown, (series, tuple(sorted((changes or {}).items())), up_to, system), work)

    def widths(self, series: str, up_to: float | None = None) -> int:
        """How many widths `evidence` works out.

        Args:
            series: Key of the series.
            up_to: A width limit on trial [m], or None.
        """
        row = self._rulebook.series[series]
        limit = up_to or row.up_to_and_including
        return max(1, round((limit - row.from_) / row.step) + 1 + BEYOND)

    def compared(self, found: Evidence) -> list[str]:
        """What a trial does to the margin at the width limit; nothing where none is on trial.

        Args:
            found: A series with something on trial.
        """
        ruled = self.evidence(found.series)
        return [] if found == ruled else pictures.compared(ruled, found)

    def draw(self, found: Evidence, folder: Path, *, system: units.System = "us") -> Path:
        """Write the chart of a series.

        Args:
            found: A series over its widths.
            folder: Where to; made if missing.
            system: Units of the axes.
        """
        ruled = self.evidence(found.series)
        trial = "" if found == ruled else " on trial"
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / f"{found.series} corner strength{trial}.svg"
        path.write_bytes(pictures.as_svg(found, system=system, ruled=ruled if trial else None))
        return path

    def _spreads(self) -> Spreads:
        settings = self._rulebook.strength
        return ASSUMED if settings is None else Spreads.from_rules(settings.fact_spreads)

    def _kept(self, kept: OrderedDict[Hashable, _Answer], key: Hashable, work: Callable[[], _Answer]) -> _Answer:
        with self._lock:
            if key in kept:
                kept.move_to_end(key)
                return kept[key]
        found = work()
        with self._lock:
            kept[key] = found
            while len(kept) > KEPT:
                kept.popitem(last=False)
        return found


def holding_dict(worked: Worked) -> dict[str, Any] | None:
    """Strength for a machine: the carrier, the order of giving with its forces, what it means; None at level 0.

    Args:
        worked: The blade, with its strength looked at.
    """
    build = worked.build
    if build.holding is None:
        return None
    rows = build.holding.giving.rows
    return {
        "carrier": build.carrier.name if build.carrier else None,
        "level": build.level,
        "strikes_rest_on": build.holding.forces.ground,
        "giving": [
            {
                "key": row.key,
                "name": row.name,
                "sort": row.sort,
                "corner_lbf": _span(row.corner),
                "centre_lbf": _span(row.centre),
                "sentence": row.sentence,
            }
            for row in rows
        ],
        "sentences": list(build.holding.giving.sentences),
        "findings": [finding.as_dict() for finding in build.holding.findings],
    }


def evidence_dict(found: Evidence, compared: list[str]) -> dict[str, Any]:
    """A series over its widths for a machine.

    Args:
        found: The series.
        compared: What a trial does to its margins, in sentences.
    """
    return {
        "series": found.series,
        "limit_in": round(units.inches(found.limit), 3),
        "on_trial": found.on_trial,
        "points": [
            {
                "width_in": round(units.inches(point.width), 3),
                "first_yield_lbf": _lbf(point.first_yield),
                "first_to_yield": point.yields,
                "plastic_lbf": _lbf(point.plastic),
                "hub_first_yield_lbf": _lbf(point.hub),
                "relief_lbf": _span(point.relief),
                "trip_lbf": _span(point.trip),
            }
            for point in found.points
        ],
        "strikes_lbf": {name: _span(span) for name, span in found.strikes.items()},
        "sentences": list(found.sentences),
        "compared": compared,
    }


def _lbf(newtons: float) -> float:
    return round(newtons / LBF, 1)


def _span(span: Span | None) -> dict[str, float] | None:
    if span is None:
        return None
    return {"low": _lbf(span.low), "likely": _lbf(span.likely), "high": _lbf(span.high)}
