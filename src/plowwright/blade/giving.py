"""What gives first: trip, relief, edge bolts, pins, frame, mount or the carrier's own grip, in order of force.

Every force is along the ground at the cutting edge, at its corner and at its middle, as a band.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor
from typing import Final, Literal

from plowwright import units
from plowwright.blade.giving_inputs import Brings, Capacities, Place
from plowwright.blade.spans import Span, against
from plowwright.findings import Basis, Finding, not_checked
from plowwright.rulebook.settings import Setting
from plowwright.rulebook.strength import Strength
from plowwright.units.constants import PSI

Sort = Literal["lets go", "breaks", "carrier"]
PLACE: Final = "order of giving"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing that gives.

    Attributes:
        key: Short name, as "trip" or "first yield".
        name: What gives, in words.
        sort: Whether it lets go as it is meant to, breaks, or is the carrier's own end.
        corner: Force at the corner of the edge [N], or None where it does not give there or is not known.
        centre: The same in the middle [N].
        basis: What the force rests on.
        sentence: What happens then.
    """

    key: str
    name: str
    sort: Sort
    corner: Span | None
    centre: Span | None
    basis: Basis
    sentence: str

    def at(self, place: Place) -> Span | None:
        """Its force at a place of the edge.

        Args:
            place: corner or centre.
        """
        return self.corner if place == "corner" else self.centre


@dataclass(frozen=True, slots=True, kw_only=True)
class Giving:
    """The order in which things give.

    Attributes:
        rows: Everything that gives, the corner's order first, then what only the middle has.
        sentences: What the order means.
        findings: The checks that follow from it.
    """

    rows: tuple[Row, ...]
    sentences: tuple[str, ...]
    findings: tuple[Finding, ...]

    def order(self, place: Place) -> tuple[Row, ...]:
        """Rows that give at a place, the first to give in front.

        Args:
            place: corner or centre.
        """
        return tuple(sorted((row for row in self.rows if row.at(place)), key=lambda row: _likely(row.at(place))))


def order(capacities: Capacities, carrier: Brings | None, settings: Strength | None) -> Giving:
    """The order of giving of a blade on a carrier.

    Args:
        capacities: What the blade can take.
        carrier: What the carrier brings, or None while it is not known.
        settings: strength.toml, or None: then only the order is told.
    """
    rows = [*_blade_rows(capacities), *(_carrier_rows(carrier, settings) if carrier and settings else ())]
    rows = [row for row in rows if row.corner or row.centre]
    rows.sort(key=lambda row: (row.corner is None, _likely(row.corner or row.centre)))
    told = Giving(rows=tuple(rows), sentences=(), findings=())
    return Giving(
        rows=told.rows,
        sentences=tuple(_sentences(told, capacities, carrier, settings)),
        findings=tuple(_findings(capacities, carrier, settings)),
    )


def _likely(span: Span | None) -> float:
    return float("inf") if span is None else span.likely


def _blade_rows(c: Capacities) -> Iterator[Row]:
    def basis(kind: Literal["handbook", "standard", "assumed"], formula: str, key: str) -> Basis:
        return Basis(kind=kind, formula=formula, source=c.notes.get(key, c.level))

    def row(key: str, name: str, sort: Sort, corner: Span | None, centre: Span | None, b: Basis, sentence: str) -> Row:
        return Row(key=key, name=name, sort=sort, corner=corner, centre=centre, basis=b, sentence=sentence)

    one, two = c.corner, c.centre
    setting = "" if c.relief_setting is None else f"{units.say(c.relief_setting, 'pressure')} "
    frame = "from the strength model, first member at its yield"
    yield row(
        "trip", "moldboard trips", "lets go", c.trip, c.trip,
        basis("handbook", "(springs - weight) / (hinge height - wear), new edge to worst worn", "trip"),
        "The moldboard leaves its stop; with the edge worn it takes the upper force.",
    )  # fmt: skip
    yield row(
        "relief", f"{setting}relief lifts", "lets go", one.relief, two.relief,
        basis("handbook", "F = p A arm / (W / 2), ring side to full bore", "relief"),
        "Oil crosses over and the blade swings; with the rod pushed in the oil it displaces has nowhere to go, "
        "so it answers fully only on the side that pulls the rod out.",
    )  # fmt: skip
    yield row(
        "edge bolts", "edge bolts at proof", "breaks", one.edge_bolts, two.edge_bolts,
        basis("assumed", "T = F (L - e) / e shared by the bolts nearby", "edge bolts"),
        "The edge opens at its top and the bolts stretch for good.",
    )  # fmt: skip
    yield row(
        "hinge pins", "hinge pins", "breaks", one.hinge_pins, two.hinge_pins,
        basis("standard", "hardest loaded pin against shear, bearing and bending", "hinge pins"),
        "A hinge pin or its ears set.",
    )  # fmt: skip
    yield row(
        "hub", f"{one.hub_yields} yields", "breaks", one.hub, two.hub,
        basis("handbook", "hub, oscillation and cylinder arm, first at its yield", "hub"),
        "What holds the frame to the mount bends for good.",
    )  # fmt: skip
    yield row(
        "king pin", "king pin and cylinder side", "breaks", one.king_pin, two.king_pin,
        basis("standard", "king pin, lugs and arm against their limits", "king pin"), "Pin, lug or arm set.",
    )  # fmt: skip
    yield row(
        "first yield", f"{one.yields} yields", "breaks", one.first_yield, two.first_yield,
        basis("handbook", frame, "first yield"), "A permanent bend begins, too small to see.",
    )  # fmt: skip
    yield row(
        "angled", f"{one.angled_yields} yields, blade at full angle", "breaks", one.angled, two.angled,
        basis("handbook", f"{frame}, at both full angles", "angled"), "The same with the blade swung over.",
    )  # fmt: skip
    yield row(
        "plastic", "push frame folds", "breaks", one.plastic, two.plastic,
        basis("handbook", "lower bound of plastic limit analysis", "plastic"), "The frame stays bent.",
    )  # fmt: skip
    yield row(
        "mount", "mount", "breaks", one.mount, two.mount,
        basis("standard", "mount plate, sleeve and welds against their limits", "mount"), "The mount sets or tears.",
    )  # fmt: skip


def _carrier_rows(b: Brings, settings: Strength) -> Iterator[Row]:
    grip = settings.traction
    for key, ground, span, said in (
        ("ice", "ice", b.ice, grip.ice.said("-")),
        ("packed snow", "packed snow", b.packed_snow, grip.packed_snow.said("-")),
        ("pavement", "pavement", b.pavement, grip.pavement.said("-")),
    ):
        yield Row(
            key=key,
            name=f"{b.name} spins on {ground}",
            sort="carrier",
            corner=span,
            centre=span,
            basis=Basis(
                kind="assumed",
                formula="friction x weight",
                inputs={"weight": b.weight.said("force"), "friction": said},
            ),
            sentence=f"Pushing steadily, {b.name} has no more than this on {ground}.",
        )
    yield Row(
        key="swings round",
        name=f"{b.name} is swung round on packed snow",
        sort="carrier",
        corner=b.swung,
        centre=None,
        basis=Basis(
            kind="assumed",
            formula="friction x weight x distance of the wheels / (W / 2)",
            inputs={
                "friction": grip.packed_snow.said("-"),
                "distance, share of wheelbase": grip.turning_share.said("-"),
            },
        ),
        sentence="The carrier slides round the obstacle before the push can grow.",
    )


def _sentences(told: Giving, c: Capacities, b: Brings | None, settings: Strength | None) -> Iterator[str]:
    for place in ("corner", "centre"):
        rows = told.order(place)
        listed = ", then ".join(f"{row.name} ({_force(row.at(place))})" for row in rows)
        yield (
            f"Strike at the {place} of {c.name}'s edge: {listed}." if rows else f"Nothing is known at the {place} yet."
        )
    if c.corner.first_yield is None:
        yield "The frame has not been worked out, so nothing is said of where it stands in this order."
        if c.duty_class == "light" and settings is not None:
            first_try = settings.relief.light_advice.said("pressure")
            yield f"A light frame is often the first to go; until it is worked out, set its relief to {first_try}."
        return
    if c.corner.hub is not None and c.corner.hub.likely < c.corner.first_yield.likely:
        numbers = f"{_force(c.corner.hub)} against {_force(c.corner.first_yield)} at the corner"
        yield f"The {c.corner.hub_yields} holds less than the frame it carries ({numbers})."
    yield from _trip_said(c)
    yield from _relief_said(c, settings)
    if c.corner.plastic is not None:
        reserve = c.corner.plastic.likely / c.corner.first_yield.likely
        yield f"From its first yield to folding up the frame has {reserve:.2f} times the force at the corner."
    if b is not None:
        yield from _carrier_said(c, b)


def _force(span: Span | None) -> str:
    return "" if span is None else span.said("force")


def _trip_said(c: Capacities) -> Iterator[str]:
    first = c.corner.first_yield
    if first is None:
        return
    if c.trip.high <= first.low:
        yield "The trip lets go before the frame yields, with a new edge and with a worn one."
    elif c.trip.low <= first.low:
        yield "With a new edge the trip lets go before the frame yields, worn it may not: re-set the springs."
    else:
        yield "The frame may yield before the trip lets go: less preload or fewer springs."


def _relief_said(c: Capacities, settings: Strength | None) -> Iterator[str]:
    first, relief, pressure = c.corner.first_yield, c.corner.relief, c.relief_setting
    if first is None or relief is None or pressure is None:
        return
    set_to = units.say(pressure, "pressure")
    if relief.high <= first.low:
        against_it = f"{_force(relief)} against {_force(first)}"
        yield f"The {set_to} relief lifts before the frame yields ({against_it} at the corner)."
        return
    may = "yields before" if first.likely < relief.low else "may yield before"
    numbers = f"{_force(first)} against {_force(relief)} at the corner"
    yield f"The {c.duty_class} frame {may} a {set_to} relief lifts ({numbers}). {_relief_way(c, settings)}"


def _relief_way(c: Capacities, settings: Strength | None) -> str:
    advice = relief_advice(c, settings)
    if advice is None or c.corner.relief is None or advice >= (c.relief_setting or 0.0):
        return ""
    said = units.say(advice, "pressure")
    if settings is not None and advice < settings.relief.least.value:
        least = units.say(settings.relief.least.value, "pressure")
        return (
            f"It would take {said}, under the {least} at which the blade folds back in ordinary snow: no setting of "
            "the relief protects this frame."
        )
    return f"Set a lower relief, about {said}."


def relief_advice(c: Capacities, settings: Strength | None) -> float | None:
    """Relief setting that lifts under the first yield at the corner even on the full bore, in steps of 50 psi [Pa].

    It is no higher than the shop's own, and None where the frame has not been worked out.

    Args:
        c: What the blade can take.
        settings: strength.toml, or None.
    """
    first, relief, pressure = c.corner.first_yield, c.corner.relief, c.relief_setting
    if first is None or relief is None or pressure is None:
        return None
    share = 0.9 if settings is None else settings.trip.most_of_least_capacity.value
    wanted = pressure * share * first.low / relief.high
    return min(pressure, floor(wanted / (50 * PSI) + 1e-9) * 50 * PSI)


def _carrier_said(c: Capacities, b: Brings) -> Iterator[str]:
    first = c.centre.first_yield or c.corner.first_yield
    if first is None:
        return
    place = "middle" if c.centre.first_yield else "corner"
    push = f"yield the frame by pushing steadily at the {place}"
    if b.pavement.high <= first.low:
        yield f"{b.name} cannot {push}, not even on bare pavement."
    elif b.pavement.likely >= first.likely:
        yield f"{b.name} can {push} on bare pavement."
    else:
        yield f"{b.name} may {push} on bare pavement, at the far end of its grip."
    yield (
        f"The first peak of the contact ({_force(b.contact_peak)}) comes and goes before trip or relief have answered; "
        "it is not a push, and is not held against these."
    )


def _findings(c: Capacities, b: Brings | None, settings: Strength | None) -> Iterator[Finding]:
    title = "order of giving"
    if settings is None:
        basis = Basis(kind="assumed", formula="settings of strength.toml")
        yield not_checked(title=title, because="this rulebook has no strength.toml", basis=basis, place=PLACE)
        return
    if c.corner.first_yield is None:
        basis = Basis(kind="handbook", formula="first yield of the push frame at the corner")
        yield not_checked(title=title, because="the frame has not been worked out", basis=basis, place=PLACE)
        return
    if c.corner.relief is not None:
        yield _relief_finding(c, c.corner.relief, c.corner.first_yield, settings)
    if b is None:
        basis = Basis(kind="assumed", formula="share of the carrier's weight against first yield")
        yield not_checked(title="strikes", because="the carrier's weight is not known", basis=basis, place=PLACE)
        return
    yield from _strikes(c, b, settings)


def _relief_finding(c: Capacities, relief: Span, first: Span, settings: Strength) -> Finding:
    return against(
        relief,
        first,
        kind="force",
        title="relief lifts before the frame yields, strike at the corner",
        basis=Basis(
            kind="handbook",
            formula="F = p A arm / (W / 2), ring side to full bore, against first yield",
            inputs={
                "relief": units.say(c.relief_setting or 0.0, "pressure"),
                "first to yield": c.corner.yields,
                "level": c.level,
            },
        ),
        place=PLACE,
        because=_relief_way(c, settings),
    )


def _strikes(c: Capacities, b: Brings, settings: Strength) -> Iterator[Finding]:
    hit, grip, safety = settings.strike.share_of_weight, settings.traction.packed_snow, settings.safety
    for place in ("corner", "centre"):
        yield from _pushed(c, b, place, "strike", b.share_of_weight, hit.said("-"), safety.strike)
    yield from _pushed(c, b, "centre", "steady push on packed snow", b.packed_snow, grip.said("-"), safety.daily)


def _pushed(
    c: Capacities, b: Brings, place: Place, what: str, force: Span, share: str, safety: Setting[float]
) -> Iterator[Finding]:
    limits = c.at(place)
    if limits.first_yield is None:
        return
    limit = limits.first_yield.over(safety.value)
    through = c.trip.high <= limit.low and what == "strike"
    yield against(
        force,
        limit,
        kind="force",
        title=f"{what} of {b.name} at the {place} against first yield",
        basis=Basis(
            kind="assumed",
            formula="share x weight against first yield / safety",
            inputs={
                "weight": b.weight.said("force"),
                "share of weight": share,
                "safety": safety.said("-"),
                "first to yield": limits.yields,
                "level": c.level,
            },
        ),
        place=limits.yields,
        because=f"The trip lets go at {_force(c.trip)}, so this much comes only where the blade cannot trip."
        if through
        else "",
    )
