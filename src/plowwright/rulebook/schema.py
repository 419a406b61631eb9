"""What a rulebook holds, as checked records: SI inside, every size written with its unit in the files.

A rulebook is a folder of TOML files; `reading.py` reads it and turns a broken entry into an error that names
file, line and field. Names in square brackets of the files are the names used everywhere else (stock, marks,
papers).
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field

from plowwright.rulebook.crew import Crew
from plowwright.rulebook.cutting import Cutting
from plowwright.rulebook.dock import Dock
from plowwright.rulebook.fit import Fit
from plowwright.rulebook.plumbing import Plumbing
from plowwright.rulebook.quantities import (
    AboveLength,
    AboveNumber,
    AbovePressure,
    AboveSpringRate,
    Angle,
    ArealMass,
    Density,
    Force,
    Length,
    LinearMass,
    Mass,
    Money,
    MoneyPerArea,
    MoneyPerHour,
    MoneyPerLength,
    MoneyPerMass,
    Pressure,
    Record,
    Time,
)
from plowwright.rulebook.refit import Refit
from plowwright.rulebook.strength import Strength
from plowwright.rulebook.suit import Suit
from plowwright.rulebook.swing import Swing


class Version(Record):
    """Which rules these are (version.toml)."""

    date: date
    reason: str = Field(min_length=8)
    sealed: str | None = None  # fingerprint when it was closed; audit says if the files have changed since


class Shop(Record):
    """Who the shop is (shop.toml)."""

    name: str
    place: str
    phone: str = ""
    body_colour: str
    frame_colour: str
    currency: str = "USD"
    kerf: Length
    end_trim: Length
    least_remnant: Length
    sticks: list[Length]
    edge_blanks: list[Length]
    address_on_network: str = ""  # start of the links in QR codes, e.g. the shop computer's address


class MaterialEntry(Record):
    """A material or grade (materials.toml)."""

    density: Density
    yield_strength: Pressure | None = None
    tensile_strength: Pressure | None = None
    source: str


class Section(Record):
    """A bar, tube or angle as bought (sections.toml)."""

    kind: Literal["tube", "round tube", "angle", "flat", "round"]
    width: AboveLength | None = None  # tube, flat: the larger side; angle: first leg
    height: AboveLength | None = None  # tube: other side; angle: second leg
    diameter: AboveLength | None = None
    wall: AboveLength | None = None  # tube wall, angle or flat thickness
    mass: LinearMass  # as the supplier's list has it; audit holds it against the sizes
    material: str
    price: MoneyPerLength
    superseded_by: str | None = None


class Plate(Record):
    """Sheet or plate as bought (plates.toml)."""

    thickness: AboveLength
    mass: ArealMass
    material: str
    price: MoneyPerMass
    sheet_width: AboveLength
    sheet_length: AboveLength
    superseded_by: str | None = None


class BoughtPart(Record):
    """A part that comes in a box (bought.toml). Sizes are asked for by the kinds that need them."""

    kind: Literal["cylinder", "spring", "bolt", "valve block", "hose set", "shoe", "marker", "crate", "other"]
    mass: Mass | None = None  # a part without mass is legal while building the file; audit names it
    price: Money
    lead_time_days: Annotated[int, Field(ge=0)] = 0  # working days
    superseded_by: str | None = None
    length: AboveLength | None = None
    width: AboveLength | None = None
    height: AboveLength | None = None
    bore: AboveLength | None = None
    rod: AboveLength | None = None
    stroke: AboveLength | None = None
    retracted: AboveLength | None = None  # pin to pin
    barrel: AboveLength | None = None  # outside diameter
    coil: AboveLength | None = None  # outside diameter of the spring
    wire: AboveLength | None = None
    active_coils: AboveNumber | None = None
    free_length: AboveLength | None = None  # hook to hook, unloaded
    greatest_stretch: AboveLength | None = None
    rate: AboveSpringRate | None = None
    initial_tension: Force | None = None
    diameter: AboveLength | None = None  # bolt
    countersink: AboveLength | None = None  # greatest width of a plow bolt's head
    port: str | None = None  # thread of a cylinder's or block's ports, as "ORB 6"
    rated: AbovePressure | None = None  # working pressure, read off its label


class Band(Record):
    """One row of a table by width: from (included) or over (excluded), up to and including."""

    from_: Annotated[Length | None, Field(alias="from")] = None
    over: Length | None = None
    up_to_and_including: Length

    def serves(self, width: float) -> bool:
        """Whether a width falls in this row, with a hundredth of an inch of grace for arithmetic.

        Args:
            width: Of the blade [m].
        """
        grace = 0.000254
        if width > self.up_to_and_including + grace:
            return False
        if self.from_ is not None:
            return width >= self.from_ - grace
        return self.over is None or width > self.over + grace


class ClassRow(Band):
    """Walls and plates that together make the class; frame and mount grow with width."""

    leg: str
    cross: str
    hinge_beam: str
    hinge_beam_length: Length
    web: str
    ear: str
    pin_plate: str
    mount_plate: str
    tower: str
    cylinder_arm: str | None = None  # tube of the cylinder arm on the hub; the hinge beam's where it is left out
    frame_length: Length  # king pin to hinge line


class EdgeRow(Band):
    """Which edge a width gets."""

    edge: str  # a flat of sections.toml
    bolt: str
    hole_line: Literal["mid"] | Length = "mid"  # or from the top of the edge
    edge_hang: Length | None = None  # where this edge hangs deeper than the series' usual


class CylinderRow(Band):
    """Which angle cylinder a width gets, and its arm about the king pin."""

    cylinder: str
    arm: Length


class SpringRow(Record):
    """How many trip springs, by the kind of carrier ("any" answers for the rest)."""

    carrier: Literal["any", "skid steer", "tracked loader", "compact loader", "tractor", "wheel loader"]
    count: Annotated[int, Field(ge=2, le=8)]
    spring: str


class HoleRuleEntry(Record):
    """How edge holes are laid out."""

    end: Length
    pitch: Length
    middle: Literal["hole", "gap", "best", "from ends"] = "best"
    least_end_gap: Length


class Moldboard(Record):
    """Shape of the moldboard of a series."""

    body_height: Length  # from the tip of a new edge
    edge_hang: Length  # edge tip to the foot of the bottom angle
    bottom_angle: str
    bottom_leg: Literal["width", "height"] = "height"  # which size of the angle stands upright
    skin: str
    skin_radius: Length
    skin_lean: Angle  # at the foot, from the vertical, backwards
    skin_lap: Literal["whole leg"] | Length
    top_fold: Length | None = None  # depth of the fold, or
    top_member: str | None = None  # a section behind the top
    web_depth_middle: Length
    web_depth_top: Length
    webs_one_per: Length
    webs_at_least: Annotated[int, Field(ge=2)]
    web_end_inset: Length


class Hinge(Record):
    """Hinge line of a series."""

    pins: Annotated[int, Field(ge=2, le=6)]
    pin: str  # a round of sections.toml
    height: Length  # above the edge tip
    behind_shelf: Length
    ear_reach: Length  # hinge line to the beam's face


class Tower(Record):
    """Spring towers."""

    height: Length  # above the hinge beam
    lug_height: Length  # above the edge tip, on the webs
    preload: Length  # stretch of each spring at rest
    eyebolt: str  # a bought part: takes up what is left between hook and anchor


class Welds(Record):
    """Fillets this series is welded with."""

    frame: AboveLength  # tubes, king-pin plates, ears, mount
    moldboard: AboveLength  # webs to the shelf and to each other
    skin: AboveLength  # webs to the skin, in stitches
    stitch: AboveLength
    stitch_pitch: AboveLength


class Series(Record):
    """A duty class of the shop under its own name (series.toml)."""

    name: str
    duty_class: Literal["light", "standard", "heavy"]
    notches: Annotated[int, Field(ge=1, le=5)]
    from_: Annotated[Length, Field(alias="from")]
    up_to_and_including: Length
    step: Length
    moldboard: Moldboard
    hinge: Hinge
    tower: Tower
    king_pin: str  # a round of sections.toml
    oscillation_pin: str  # a round or round tube
    oscillation_sleeve: str  # a round tube
    stand_pocket: str  # a tube, two short lengths under the hinge beam
    gusset: str  # a plate
    welds: Welds
    angle_stop: Angle
    swing_time: Time
    rows: list[ClassRow]
    edges: list[EdgeRow]
    cylinders: list[CylinderRow]
    springs: list[SpringRow]
    holes: HoleRuleEntry
    valve_block: str

    def widths(self) -> list[float]:
        """All widths offered [m], narrowest first."""
        count = round((self.up_to_and_including - self.from_) / self.step)
        return [self.from_ + self.step * i for i in range(count + 1)]


class Mount(Record):
    """A way to couple to the carrier (mounts.toml)."""

    name: str
    kind: Literal["plate", "pins", "hook"]
    width: Length
    height: Length
    above_ground: Length  # bottom of the plate at working height
    lugs: Annotated[int, Field(ge=0)] = 0
    lug_plate: str | None = None
    lug_length: Length | None = None
    lug_spread: Length | None = None  # between the outer lugs
    pin_diameter: Length | None = None
    lip: str | None = None  # a section along the top of the plate
    ribs: Annotated[int, Field(ge=0)] = 0  # upright ribs on the front of the plate
    by_drawing: bool = False  # sizes come from the customer's machine and must be confirmed
    carriers: list[str]


class Added(Record):
    """One thing an option brings along."""

    bought: str | None = None
    section: str | None = None  # a bar of the blade's width
    plate: str | None = None  # a strip of the blade's width
    depth: Length | None = None
    count: Annotated[int, Field(ge=1)] = 1
    place: Literal["ends", "top", "cylinder", "mount", "packing"] = "packing"
    name: str


class Option(Record):
    """Something that can be chosen (options.toml, as [group.value])."""

    name: str
    adds: list[Added] = Field([])
    needs: list[str] = Field([])  # "group.value": all of them
    excludes: list[str] = Field([])
    why: str = ""


class SeriesPrice(Record):
    """List price of the narrowest blade and of every step."""

    base: Money
    step: Money


class Prices(Record):
    """Price list and cost rates (prices.toml)."""

    list_date: date
    series: dict[str, SeriesPrice]
    options: dict[str, Money]
    spares: dict[str, Money]
    rush: float  # part of the list price, 0.12 for 12 %
    deposit: float
    margin_floor: float
    valid_days: int
    wire: MoneyPerMass
    deposition: float  # weld metal over wire used
    paint: MoneyPerArea
    rolling: MoneyPerMass
    rates: dict[str, MoneyPerHour]


class Hours(Record):
    """Bench hours of one blade of a series (hours.toml)."""

    saw: Time
    plate_and_drill: Time
    fit_and_weld: Time
    clean: Time
    paint: Time
    assemble: Time
    test_and_weigh: Time


class RulebookData(Record):
    """All files of one rulebook folder."""

    version: Version
    shop: Shop
    materials: dict[str, MaterialEntry]
    sections: dict[str, Section]
    plates: dict[str, Plate]
    bought: dict[str, BoughtPart]
    series: dict[str, Series]
    mounts: dict[str, Mount]
    options: dict[str, dict[str, Option]]
    prices: Prices
    hours: dict[str, Hours]
    strength: Strength | None = None  # a rulebook from before the strength checks has none
    suit: Suit | None = None  # the four that came with the carrier checks
    swing: Swing | None = None
    plumbing: Plumbing | None = None
    fit: Fit | None = None
    cutting: Cutting | None = None
    refit: Refit | None = None
    crew: Crew | None = None
    dock: Dock | None = None
