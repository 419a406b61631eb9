"""What is done when a blade leaves: packed, its bill addressed, matched, photographed, loaded."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Any, Final, Literal

from plowwright.desk import order_file
from plowwright.desk.acting import Hand
from plowwright.desk.dock_scale import Weighing
from plowwright.desk.dock_shared import OPEN, answer
from plowwright.desk.floor_photo import Photo
from plowwright.desk.life_handing import hand_over, handing_of
from plowwright.desk.order_more import more_of
from plowwright.errors import EntryError, RefusedError
from plowwright.shop.dock_freight import Packed, extents, freight_class
from plowwright.shop.dock_match import reading_of, three_readings
from plowwright.shop.dock_papers import CLAIMS, photographed
from plowwright.shop.orders import CANCELLED, advance
from plowwright.store import records as r
from plowwright.store.commands import Command
from plowwright.units import say

TERMS: Final = ("prepaid", "collect", "third party")
"""Ways freight is paid."""
_SMALLER: Final = 0.98
_WEIGH: Final = "Put it on the scale first."
"""A tape laid over packing may read this share of the model's size and still be right [-]."""


class Docking(Weighing):
    """Everything that is written at the dock; each is one command, all or nothing, done once for its key."""

    # Packing ------------------------------------------------------------------------------------------------------

    def pack(
        self, hand: Hand, number: str, *, length: float, depth: float, height: float, mass: float, crated: bool
    ) -> dict[str, Any]:
        """Keep size and mass as taken on the packed piece; they go over what was worked out.

        Args:
            hand: Who measured.
            number: Order.
            length: Crosswise over the packing [m].
            depth: Fore and aft [m].
            height: From the floor [m].
            mass: On the scale, packing and all [kg].
            crated: Whether it stands in a crate; else on a skid.

        Raises:
            EntryError: Smaller than the blade that is in it, or lighter.
            RefusedError: It has left, or it was not weighed bare.
        """
        number = self.view.number(number)
        build = self.view.build(self.view.order(number))
        least = sorted(extents(build))
        asked = {"order": number, "length_m": length, "depth_m": depth, "height_m": height, "mass_kg": mass,
                 "crated": crated}  # fmt: skip

        def do(c: Command) -> dict[str, Any]:
            _, more, standing = self.read(c, number)
            if standing.state != "weighed":
                raise RefusedError(f"{number} is at {standing.state}: it is packed once it was weighed bare",
                                   value=standing.state, way_out=_WEIGH)  # fmt: skip
            piece = Packed(length=length, depth=depth, height=height, mass=mass, crated=crated, stated=True)
            by = freight_class(piece, self.view.dock.freight)
            sizes = sorted((length, depth, height))
            if any(size < _SMALLER * own for size, own in zip(sizes, least, strict=True)):
                raise EntryError("packed it is smaller than the blade that is in it", value=piece.text, where=number,
                                 limit=" x ".join(say(s, "length") for s in extents(build)),
                                 way_out="Measure over the widest places, packing and all.")  # fmt: skip
            bare = self.view.tickets(c, number)[-1][1].weighed.found
            if mass < bare:
                raise EntryError("packed it is lighter than bare", value=say(mass, "mass"), where=number,
                                 limit=f"at least {say(bare, 'mass')}",
                                 way_out="Weigh it with skid or crate.")  # fmt: skip
            kept = {**{name: value for name, value in asked.items() if name != "order"}, "by": hand.who,
                    "at": c.at.isoformat()}  # fmt: skip
            more = replace(more, rest={**more.rest, "packed": kept})
            c.change(r.Order, number, more=more.as_dict())
            said = f"{number} packed: {piece.text}. {by.finding.sentence}."
            return answer(number, said, packed=piece.as_dict(), freight_class=by.freight_class)

        return self.run("pack", hand, do, asked)

    def lading(self, hand: Hand, number: str, *, ship_to: str, terms: str) -> dict[str, Any]:
        """Keep who gets a load and who pays its freight, for the bill of lading.

        Args:
            hand: Who.
            number: Order.
            ship_to: Name and place.
            terms: prepaid, collect or third party.

        Raises:
            EntryError: Nobody is named, or no such terms.
        """
        number = self.view.number(number)
        if len(ship_to.strip()) < 4:
            raise EntryError("a bill names who gets it and where", value=ship_to, way_out="Write name and place.")
        if terms not in TERMS:
            raise EntryError("freight is paid in one of these ways", value=terms, limit=", ".join(TERMS))

        def do(c: Command) -> dict[str, Any]:
            _, more, standing = self.read(c, number)
            if standing.state == "loaded":
                raise RefusedError(f"{number} has left the yard with its bill", value="loaded",
                                   way_out="A bill that has left is not written again.")  # fmt: skip
            told = {"ship_to": ship_to.strip(), "terms": terms}
            c.change(r.Order, number, more=replace(more, rest={**more.rest, "lading": told}).as_dict())
            return answer(number, f"The bill of {number} goes to {' '.join(ship_to.split())}, freight {terms}.")

        return self.run("bill of lading", hand, do, {"order": number, "ship_to": ship_to, "terms": terms})

    # Loading ------------------------------------------------------------------------------------------------------

    def match(self, hand: Hand, number: str, *, stamp: str, label: str) -> dict[str, Any]:
        """Hold order, stamp and label against each other; what was read is kept, whether it agrees or not.

        Args:
            hand: Who read them.
            number: Order, as on the load slip.
            stamp: As read off the blade.
            label: As read or scanned off the label.

        Raises:
            EntryError: One of them was not read.
            RefusedError: It is not weighed yet, or has left.
        """
        number = self.view.number(number)
        for name, text in (("stamp", stamp), ("label", label)):
            if not text.strip():
                raise EntryError(f"the {name} was not read", where=number, way_out=f"Read the {name} and type it.")

        def do(c: Command) -> dict[str, Any]:
            row, more, standing = self.read(c, number)
            if standing.state != "weighed" and not (row.kind == "spares" and standing.state == "done"):
                raise RefusedError(f"{number} is at {standing.state}: it is matched when it is weighed",
                                   value=standing.state, way_out=_WEIGH)  # fmt: skip
            whose = _whose(c, reading_of(stamp).serial, reading_of(label).serial)
            found = three_readings(number, stamp, label, serials=whose, issued=c.numbers())
            holds = found.verdict == "holds"
            read = {"stamp": stamp.strip(), "label": label.strip(), "by": hand.who, "at": c.at.isoformat()}
            more = replace(more, matched=holds, rest={**more.rest, "readings": read})
            c.change(r.Order, number, more=more.as_dict())
            said = found.sentence if found.sentence.endswith(".") else f"{found.sentence}."
            return answer(number, f"{number}: {said}", holds=holds, finding=found.as_dict())

        return self.run("match", hand, do, {"order": number, "stamp": stamp, "label": label})

    def photo(
        self, hand: Hand, number: str, photo: Photo, *, what: str = "photos at loading", note: str = ""
    ) -> dict[str, Any]:
        """Keep a photo or scan with the order, under what it shows.

        Args:
            hand: Who took it.
            number: Order.
            photo: The photo.
            what: What it is, as a claim asks for it.
            note: More about it.

        Raises:
            EntryError: No claim asks for that.
        """
        number = self.view.number(number)
        known = tuple(dict.fromkeys(one for kind in CLAIMS for one in photographed(kind)))
        if what not in known:
            raise EntryError("no photo is called that", value=what, limit=", ".join(known))
        told = f"{what}: {note.strip()}" if note.strip() else what

        def do(c: Command) -> dict[str, Any]:
            c.get(r.Order, number)
            kept = c.keep_file(photo.data, name=photo.name, media=photo.media)
            c.add(r.Attachment, file=kept.digest, about=order_file.ABOUT, key=number, day=c.at.date(), note=told)
            return answer(number, f"Kept with {number}: {told}.")

        return self.run("keep a photo", hand, do, {"order": number, "what": told, **photo.as_asked()})

    def load(self, hand: Hand, number: str, *, ticked: Collection[str] | Literal["all"]) -> dict[str, Any]:
        """Load it: every gate is open, everything is ticked. A new blade's life record begins here.

        Args:
            hand: Who loads.
            number: Order.
            ticked: Rows of the packing list that were ticked, counted from "0", or all of them.

        Raises:
            RefusedError: A gate is shut, or something is not ticked; names what is missing.
        """
        number = self.view.number(number)
        listed = self.view.rows(number)
        handing = handing_of(self.desk, number)
        unticked = [] if ticked == "all" else [row.name for at, row in enumerate(listed) if str(at) not in ticked]

        def do(c: Command) -> dict[str, Any]:
            row, more, standing = self.read(c, number)
            if standing.state == "done":
                # Spares skip the scale; a blade is told here that it was stopped, or never weighed.
                standing = replace(standing, state=advance(standing, "weighed", c.at.date()))
            state = advance(standing, "loaded", c.at.date())
            if unticked:
                raise RefusedError(
                    f"{number} is not loaded: not ticked are {', '.join(unticked)}",
                    value=f"{len(unticked)} not ticked", limit="the packing list ticked to its end",
                    way_out="Put it in the box and tick it, or write a change note first.",
                )  # fmt: skip
            if row.kind == "blade" and not more.serial:
                raise RefusedError(f"{number} has no serial number", value="none", way_out="Give it one and stamp it.")
            gone = {"by": hand.who, "at": c.at.isoformat()}
            c.change(r.Order, number, state=state, more=replace(more, rest={**more.rest, "loaded": gone}).as_dict())
            said = f"{number} is loaded. {hand_over(c, handing)}"
            return answer(number, said, state=state, serial=more.serial)

        return self.run("load", hand, do, {"order": number, "unticked": unticked})


def _whose(c: Command, *serials: str) -> dict[str, str]:
    """Which order each serial number was given to."""
    wanted = {one for one in serials if one}
    # One called off was stamped and may stand in the yard; spares are not stamped, they only name a blade.
    rows = c.find(r.Order, state=[CANCELLED, *OPEN]) if wanted else ()
    open_last = sorted(rows, key=lambda row: row.state != CANCELLED)
    found = {more_of(row.more).serial: row.number for row in open_last if row.kind != "spares"}
    for serial in wanted - set(found):
        blade = c.look(r.Blade, serial)
        if blade is not None:
            found[serial] = blade.order or serial
    return found
