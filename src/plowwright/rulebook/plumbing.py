"""What plumbing takes on trust (plumbing.toml): hoses, threads, couplers, where outlets sit, slack."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from plowwright.errors import NotFoundError
from plowwright.physics.hoses import DASH
from plowwright.rulebook.quantities import AboveLength, AbovePressure, Angle, Length, Record, Share
from plowwright.rulebook.settings import Setting

Face = Literal["flat-face", "poppet"]
Sex = Literal["female", "male"]
Rides = Literal["arm", "machine"]
Lever = Literal["left", "right"]


def _dash(value: int) -> int:
    if value not in DASH:
        raise ValueError(f"no such hose size (given: dash {value}); there are dash {', '.join(map(str, DASH))}")
    return value


DashSize = Annotated[int, AfterValidator(_dash)]
Pair = Annotated[list[Sex], Field(min_length=2, max_length=2)]
Sizes = Annotated[list[str], Field(min_length=1)]


class HoseRules(Record):
    """The hose every blade gets."""

    type: Setting[str]  # as printed on it
    dash: Setting[DashSize]  # bore in sixteenths of an inch
    rated: Setting[AbovePressure]
    bend: Setting[AboveLength]  # least radius, on its inside
    end: Setting[str]  # thread of its swivel ends, as "JIC 6"
    rigid: Setting[AboveLength]  # of each end, from the seat on, that does not bend
    fittings: Setting[AbovePressure]  # working pressure of adapters and elbows


class SlackRules(Record):
    """How much longer than its longest way a hose is made."""

    share: Setting[Share]
    least: Setting[AboveLength]
    step: Setting[AboveLength]  # cut lengths go up to the next


class PortRules(Record):
    """Threads and places of ports, where the bought part does not say its own."""

    cylinder: Setting[str]
    block: Setting[str]
    from_end: Setting[AboveLength]  # a cylinder's port from the end of its tube
    adapter: Setting[AboveLength]  # from a port's face to the seat of its straight fitting or elbow
    spacing: Setting[AboveLength]  # of two ports of the block, middle to middle
    test_ports: Setting[Annotated[int, Field(ge=0, le=2)]]  # of the block


class GuideRules(Record):
    """The guide on top of the mount plate through which the hoses to the carrier run."""

    above: Setting[Length]  # over the plate's top, at least
    turn: Setting[Length]  # over where the hoses begin to bend, so that they turn back with room


class LeverRules(Record):
    """Which way the blade is to go."""

    left_casts: Setting[Lever]  # where the snow goes with the lever to the left


class CouplerRules(Record):
    """One family of quick couplers."""

    standard: Setting[str]
    sizes: Setting[Sizes]  # we keep or can have in a day
    usual: Setting[str]  # where the machine is not known
    blade: Setting[Pair]  # sex of the blade's halves on hoses A and B
    rated: Setting[AbovePressure]
    threads: dict[str, str]  # of our half, by size
    length: Setting[AboveLength]  # of a pair, connected, ahead of the outlet

    @model_validator(mode="after")
    def _complete(self) -> CouplerRules:
        if self.usual.value not in self.sizes.value:
            raise ValueError(f"the usual size {self.usual.value} is not among the sizes {', '.join(self.sizes.value)}")
        if missing := [size for size in self.sizes.value if size not in self.threads]:
            raise ValueError(f"no thread for size {', '.join(missing)}: add it to threads")
        return self


class PaysRules(Record):
    """Who pays what."""

    blade_half: Setting[str]
    carrier_half: Setting[str]


class OutletRules(Record):
    """Where a kind of carrier has its outlets and what moves them, blade carried low; all from the mount plate."""

    on: Setting[Rides]  # the loader's arm, or the machine itself
    behind: Setting[Length]  # of the mount plate's face
    aside: Setting[Length]  # of the middle
    height: Setting[Length]  # above the ground
    pins_behind: Setting[Length]  # about which the plate dumps
    pins_height: Setting[Length]
    back: Setting[Angle]  # the plate tilts back from upright
    dump: Setting[Angle]  # and forward
    arm_behind: Setting[Length]  # pivot of the loader's arm
    arm_height: Setting[Length]
    down: Setting[Angle]  # the arm floats below carried
    up: Setting[Angle]  # the arm lifts


class Plumbing(Record):
    """All settings of plumbing.toml."""

    hose: HoseRules
    slack: SlackRules
    ports: PortRules
    guide: GuideRules
    lever: LeverRules
    couplers: dict[Face, CouplerRules]
    ends: dict[str, Face | Literal["none", "bare"]]  # what a hose choice of options.toml ends in
    pays: PaysRules
    outlets: dict[str, OutletRules]

    def ending(self, hoses: str) -> Face | Literal["none", "bare"]:
        """What a hose choice ends in: a family of couplers, "none" for plain ends, "bare" for no hoses at all.

        Args:
            hoses: Key of the hose choice in options.toml.

        Raises:
            NotFoundError: The file does not say.
        """
        if hoses not in self.ends:
            raise NotFoundError(
                "plumbing.toml does not say what this choice of hoses ends in",
                value=hoses,
                limit=", ".join(self.ends),
                way_out=f'Add {hoses} = "flat-face", "poppet", "none" or "bare" under [ends].',
            )
        return self.ends[hoses]

    def outlets_of(self, kind: str) -> OutletRules:
        """Where a kind of carrier has its outlets.

        Args:
            kind: Kind of carrier.

        Raises:
            NotFoundError: The file does not say.
        """
        if kind not in self.outlets:
            raise NotFoundError(
                "plumbing.toml does not say where this kind of carrier has its outlets",
                value=kind,
                limit=", ".join(self.outlets),
                way_out=f'Add [outlets."{kind}"], measured on one.',
            )
        return self.outlets[kind]

    def family(self, face: Face) -> CouplerRules:
        """A family of couplers.

        Args:
            face: Flat-face or poppet.

        Raises:
            NotFoundError: The file has no such family.
        """
        if face not in self.couplers:
            raise NotFoundError(
                "plumbing.toml has no such couplers",
                value=face,
                limit=", ".join(self.couplers),
                way_out=f"Add [couplers.{face}] with standard, sizes, rating and threads.",
            )
        return self.couplers[face]
