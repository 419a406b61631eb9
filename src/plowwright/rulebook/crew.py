"""Who works when, at what, on which bench, and how long paint cures (crew.toml)."""

from __future__ import annotations

from datetime import date, time
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from plowwright import units
from plowwright.rulebook.quantities import AboveNumber, Record, Time
from plowwright.rulebook.settings import Setting

Work = Literal["saw", "plate_and_drill", "fit_and_weld", "clean", "paint", "assemble", "test_and_weigh", "pack"]
"""The operations of a blade as hours.toml names them, and packing."""
Day = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
Count = Annotated[int, Field(ge=0)]
Places = Annotated[int, Field(ge=1)]


def _clock(value: Any) -> time:
    text = str(value)
    try:
        hour, minute = (int(part) for part in text.split(":"))
        return time(hour, minute)
    except ValueError as fault:
        raise ValueError(f"not a time of day: {text}; write 07:30") from fault


def _temperature(value: Any) -> float:
    return units.si(value if isinstance(value, str) else str(value), "temperature")


Clock = Annotated[time, BeforeValidator(_clock)]
Temperature = Annotated[float, BeforeValidator(_temperature)]


class Span(Record):
    """Hours that are the same on some days of the week."""

    days: list[Day] = Field(min_length=1)
    begin: Clock
    end: Clock

    @model_validator(mode="after")
    def _in_order(self) -> Span:
        if self.begin >= self.end:
            raise ValueError(f"hours run from the begin to the end; {self.begin:%H:%M} is not before {self.end:%H:%M}")
        return self


class Member(Record):
    """One of the crew: bench hours, what he does, and evenings he works when a promise asks for it."""

    name: str = Field(min_length=1)
    does: list[Work] = Field(min_length=1)
    hours: list[Span] = Field(min_length=1)
    nights: Setting[Count]  # evenings a week
    night: Setting[Time]  # how long each


class Place(Record):
    """Stations of one kind."""

    name: str = Field(min_length=1)
    count: Setting[Places]


class Task(Record):
    """Where one operation is done, and how."""

    station: str | None = None
    keeps: Time = 0.0  # how long its station stays taken afterwards
    in_one_day: bool = False  # not over a night


class CureRow(Record):
    """How long paint takes at one shop temperature."""

    at: Temperature
    handle: Time  # until it may be handled and assembled
    strap: Time  # until it may be strapped


class Cure(Record):
    """Paint; between two rows the times go by equal shares for equal degrees."""

    rows: list[CureRow] = Field(min_length=2)
    shop: Setting[Temperature]  # what the thermometer in the bay shows
    basis: str = Field(min_length=8)

    @model_validator(mode="after")
    def _falling(self) -> Cure:
        for cold, warm in zip(self.rows, self.rows[1:], strict=False):
            if not (cold.at < warm.at and cold.handle >= warm.handle and cold.strap >= warm.strap):
                raise ValueError("cure rows go from cold to warm, and the warmer the shorter")
        return self

    def times(self, temperature: float) -> tuple[float, float]:
        """Wait to handle and wait to strap [s].

        Args:
            temperature: Of the shop [degC].

        Raises:
            ValueError: Colder than the coldest row: nobody knows whether it cures at all.
        """
        coldest = self.rows[0]
        if temperature < coldest.at - 1e-9:
            raise ValueError(
                f"no cure is known at {units.say(temperature, 'temperature')}; "
                f"the coldest row is {units.say(coldest.at, 'temperature')}. Heat the shop, or add a row."
            )
        for cold, warm in zip(self.rows, self.rows[1:], strict=False):
            if temperature <= warm.at:
                share = (temperature - cold.at) / (warm.at - cold.at)
                handle = cold.handle * (warm.handle / cold.handle) ** share
                return handle, cold.strap * (warm.strap / cold.strap) ** share
        return self.rows[-1].handle, self.rows[-1].strap


class Planning(Record):
    """How a crew plan is searched for and marked."""

    slot: Setting[Time]  # finest division of time
    seconds: Setting[AboveNumber]
    tight: Setting[Time]  # a promise with less in hand is tight
    rush: Setting[AboveNumber]  # what an hour late of a rush counts against a usual order
    hand_over: Setting[Clock]  # the hour of a promise that names only a day
    pack: Setting[Time]  # one order of spares: fetched, held against the slip, boxed


class Crew(Record):
    """All settings of crew.toml."""

    people: list[Member] = Field(min_length=1)
    places: list[Place] = Field(min_length=1)
    tasks: dict[Work, Task] = Field({})
    stand: str  # which place a blade keeps from paint until it goes
    cure: Cure
    closed: list[date] = Field([])
    planning: Planning

    @model_validator(mode="after")
    def _known(self) -> Crew:
        names = {p.name for p in self.places}
        for work, task in self.tasks.items():
            if task.station is not None and task.station not in names:
                raise ValueError(f"{work} stands at {task.station}, which is none of: {', '.join(sorted(names))}")
        if self.stand not in names:
            raise ValueError(f"the stand is {self.stand}, which is none of: {', '.join(sorted(names))}")
        if len({p.name for p in self.people}) < len(self.people):
            raise ValueError("two of the crew have one name")
        return self
