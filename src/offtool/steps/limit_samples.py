"""Say that a kept sample is a limit sample: what area, what condition is accepted, who signed it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from offtool.core.values import OfftoolError, nearest
from offtool.handbook.terms import LimitKind
from offtool.records.models import LineStation, Programme
from offtool.records.operations import NewLimitSample
from offtool.records.operations import define_limit_sample as define
from offtool.records.operations import withdraw_limit_sample as withdraw
from offtool.records.queries import (
    find_programme,
    find_sample,
    limit_samples_of,
    lines_of,
    stations_of,
)
from offtool.records.queries.finding import NotInRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitSampleSaid:
    """A limit sample as it is signed."""

    sample: str
    kind: LimitKind
    signed_by: str
    signed_on: date
    station: str = ""
    """Line and station, such as otter line 4; empty for none in particular."""
    area: str = ""
    accepts: str = ""
    valid_until: date | None = None


def define_limit_sample(programme: str, said: LimitSampleSaid, *, made_by: str) -> int:
    """Keep a limit sample; its number, by which it can be withdrawn.

    Raises NotInRecord for a sample or station that is not there; OfftoolError without the name of a person,
    and for a piece that says no area or not what is accepted there, unless it is the signed sample.
    """
    found = find_programme(programme)
    if said.kind is not LimitKind.SIGNED and not (said.area.strip() and said.accepts.strip()):
        raise OfftoolError(
            "a signature alone tells the station nothing",
            where="accepts" if said.area.strip() else "area",
            remedy="say which area it is for, and which condition is accepted there",
        )
    stations = stations_named(found)
    if said.station and said.station not in stations:
        raise NotInRecord(
            f"no station {said.station!r}", where="station", remedy=nearest(said.station, stations)
        )
    new = NewLimitSample(
        sample=find_sample(found, said.sample),
        kind=said.kind,
        station=stations.get(said.station),
        area=said.area,
        accepts=said.accepts,
        signed_by=said.signed_by,
        signed_on=said.signed_on,
        valid_until=said.valid_until,
    )
    return define(found, new, made_by=made_by).pk


def withdraw_limit_sample(programme: str, key: int, *, reason: str, made_by: str) -> None:
    """Let a limit sample count no longer; it stays to be seen with the reason.

    Raises NotInRecord where it is not there; OfftoolError without a reason or the second time.
    """
    kept = limit_samples_of(find_programme(programme))
    found = next((one for one in kept if one.pk == key), None)
    if found is None:
        raise NotInRecord(f"no limit sample {key}", remedy=nearest(str(key), [str(one.pk) for one in kept]))
    withdraw(found, reason, made_by=made_by)


def stations_named(programme: Programme) -> dict[str, LineStation]:
    """The stations of every line by line and number, and name where they have one."""
    return {
        f"{line.name} {one.number}" + (f" {one.name}" if one.name else ""): one
        for line in lines_of(programme)
        for one in stations_of(line)
    }


def samples_and_stations(programme: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The numbers of all samples, and the stations: what a form offers. Raises NotInRecord."""
    found = find_programme(programme)
    numbers = found.samples.order_by("number").values_list("number", flat=True)
    return tuple(numbers), tuple(stations_named(found))
