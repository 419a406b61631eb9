"""A blade of the list of past ones, worked out by the rules of its day."""

from __future__ import annotations

from collections.abc import MutableMapping
from pathlib import Path

from plowwright.blade.build import Build, work_out
from plowwright.errors import SpecError
from plowwright.rulebook.reading import Rulebook, load
from plowwright.rulebook.versions import versions
from plowwright.shop.service_past import Past


def built(one: Past, today: Rulebook, read: MutableMapping[Path, Rulebook]) -> Build:
    """A past blade by the rules of its day, or by the first later ones on file that still know all its choices.

    Args:
        one: The blade.
        today: The rules in force.
        read: Rulebooks read so far, by folder; those read now are put in.
    """
    known = sorted(versions(today.folder), key=lambda line: line.date)
    at = max((i for i, line in enumerate(known) if line.date <= one.built), default=0)
    for line in known[at:-1]:
        if line.folder not in read:
            read[line.folder] = load(line.folder)
        try:
            return work_out(one.spec, read[line.folder], level=0)
        except SpecError:
            continue  # an extra that came later, or a width no longer in these rules
    return work_out(one.spec, today, level=0)
