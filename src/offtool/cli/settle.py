"""offtool settle: what people know of a trial: when the press had settled, when parts were measured."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from offtool.cli.options import (
    TIME,
    WHEN,
    command,
    moment,
    open_for_reading,
    place_arguments,
    shared_options,
    who,
)
from offtool.cli.terminal import say, say_json


@command(example='offtool settle harbour-otter M2 T2 --from 20 --because "new hold pressure"')
@place_arguments
@click.option("--from", "settled_from", type=click.IntRange(min=0), help="The first shot that counts.")
@click.option("--by-readings", is_flag=True, help="Go by what the readings say again.")
@click.option("--because", default="", help="Why, in a few words; it is kept with your name.")
@click.option("--moulded-at", type=TIME, metavar=WHEN, help="When the last shot was moulded.")
@click.option("--measured-at", type=TIME, metavar=WHEN, help="When measuring began.")
@shared_options
def settle(
    programme: str, tool: str, trial: str, settled_from: int | None, by_readings: bool, because: str,
    moulded_at: datetime | None, measured_at: datetime | None, record: Path | None, as_json: bool,
) -> None:  # fmt: skip
    """Say from which shot the press had settled, and why.

    Also when the parts were moulded and measured. Without an option it says what the readings say. Earlier
    shots stay in the record and are shown; they are not used. Times are of this computer's time zone.
    """
    open_for_reading(record)
    from offtool.core.values import OfftoolError
    from offtool.steps.inspect_trial import inspect_trial
    from offtool.steps.judge_readings import say_times
    from offtool.steps.judge_readings import settle as overrule
    from offtool.steps.plain import as_plain

    if settled_from is not None and by_readings:
        raise OfftoolError("--from and --by-readings contradict each other", remedy="give one of them")
    overruled = settled_from is not None or by_readings
    if overruled and not because.strip():
        raise OfftoolError("no reason", where="--because", remedy="say why in a few words")
    times = {"moulded_at": moment(moulded_at), "measured_at": moment(measured_at)}
    said = {name: time for name, time in times.items() if time is not None}
    if said:
        say_times(programme, tool, trial, **said, made_by=who())
    if overruled:
        overrule(programme, tool, trial, settled_from=settled_from, reason=because, made_by=who())
    found = inspect_trial(programme, tool, trial)
    if as_json:
        say_json(as_plain(found))
        return
    from offtool.cli.shared_lines import sentence

    facts = {fact.about: fact.says for fact in found.rests_on}
    age = f" Measured {found.age_h:g} h after moulding." if found.age_h is not None else ""
    say([*sentence(f"Settled {facts.get('Settled', 'not told')}.{age}"), *sentence(found.headline)])
