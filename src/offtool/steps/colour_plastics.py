"""The plastics that can be asked about: what runs, what trials ask for, uncoloured resin, what is typed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from offtool.core.colour.spaces import Lab
from offtool.core.planning.colour_change import Plastic
from offtool.core.values import OfftoolError, nearest
from offtool.handbook.colour_changes import NATURAL_LAB, same_resin
from offtool.records.models import Job, Programme, TrialRequest
from offtool.records.queries import find_programme, jobs_of, requests_of, running_jobs
from offtool.steps.colour_found import PlasticSeen
from offtool.steps.colour_known import PLANNED_LIGHT, plastic_of_job, plastic_of_request
from offtool.steps.sample_seen import on_screen

NATURAL_KEY, TYPED_OLD, TYPED_NEW = "natural", "typed old", "typed new"
LONGEST_TABLE = 12
"""So many colours stand in the table of changes; more are no longer read."""


def plastics_known(programme: Programme, on: date) -> tuple[PlasticSeen, ...]:
    """What runs on that day first, then what trials ask for, other jobs, and the uncoloured resin."""
    running = running_jobs(programme, on)
    others = [job for job in jobs_of(programme) if job not in running]
    requests = [one for one in requests_of(programme) if one.colour or one.lightness is not None]
    return (
        *(_of_job(job, runs=True) for job in running),
        *(_of_request(one) for one in requests),
        *(_of_job(job) for job in reversed(others)),
        plastic_seen(NATURAL_KEY, "uncoloured, cream as ABS is", Plastic(name="natural", lab=NATURAL_LAB)),
    )


def plastic_named(programme: str, name: str, *, on: date) -> PlasticSeen:
    """A plastic of the record by its key, or by the name of its colour. Raises NotInRecord, OfftoolError."""
    return named_among(plastics_known(find_programme(programme), on), name)


def typed_plastic(name: str, lab: Lab, resin: str) -> Plastic:
    """A colour that somebody types, under D65 and 10°."""
    return Plastic(name=name or "the typed colour", lab=lab, resin=resin)


def _of_job(job: Job, *, runs: bool = False) -> PlasticSeen:
    product = f", {job.product}" if job.product else ""
    where = f"{'runs' if runs else 'ran'} on {job.press.code}{product}"
    return plastic_seen(f"job {job.press.code} {job.code}", where, plastic_of_job(job), runs=runs)


def _of_request(request: TrialRequest) -> PlasticSeen:
    name = f"{request.tool.code} {request.name}"
    return plastic_seen(f"trial {name}", f"asked for by {name}", plastic_of_request(request))


def plastic_seen(key: str, where: str, plastic: Plastic, *, runs: bool = False) -> PlasticSeen:
    """A plastic with the colour that a screen shows of it."""
    shown = on_screen(*plastic.lab, PLANNED_LIGHT) if plastic.lab is not None else ""
    return PlasticSeen(key=key, where=where, plastic=plastic, on_screen=shown, runs=runs)


def named_among(known: Sequence[PlasticSeen], name: str) -> PlasticSeen:
    """By its key; else by a part of it, or the name of its colour: the first that has it."""
    by_key = {one.key: one for one in known}
    if name in by_key:
        return by_key[name]
    asked = name.strip().casefold()
    found = [one for one in known if asked in (one.plastic.name.casefold(), *_short(one.key))]
    if not found:
        names = [*by_key, *(one.plastic.name for one in known)]
        raise OfftoolError(f"no colour {name!r} is known", remedy=nearest(name, names))
    return found[0]


def _short(key: str) -> tuple[str, str]:
    """A key without its first word, and its last word: M3 T4 for the trial, the number of a job."""
    rest = key.casefold().partition(" ")[2]
    return rest, rest.rpartition(" ")[2]


def distinct(plastics: Sequence[PlasticSeen]) -> tuple[PlasticSeen, ...]:
    """Each colour and resin once, the first of them; as many as a table bears."""
    seen: list[PlasticSeen] = []
    for one in plastics:
        if not any(_is_same(one.plastic, other.plastic) for other in seen):
            seen.append(one)
    return tuple(seen[:LONGEST_TABLE])


def is_now(seen: PlasticSeen) -> bool:
    """Whether it runs somewhere, or is asked for, or can always be had; jobs of other days are left out."""
    return seen.runs or not seen.key.startswith("job ")


def _is_same(one: Plastic, other: Plastic) -> bool:
    if not same_resin(one.resin, other.resin) or bool(one.resin) != bool(other.resin):
        return False
    if one.lab is None or other.lab is None:
        return one.name == other.name and one.lab == other.lab
    return all(round(x, 1) == round(y, 1) for x, y in zip(one.lab, other.lab, strict=True))
