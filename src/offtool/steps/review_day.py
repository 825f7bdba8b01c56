"""The day on which a release is reviewed where nobody names one."""

from __future__ import annotations

from datetime import date

from django.db.models import Max

from offtool.records.models import Pilot
from offtool.records.queries import find_programme
from offtool.steps.overview import is_invented
from offtool.steps.planning_day import planning_day


def review_day(programme: str, *, today: date) -> date:
    """Today; but an invented programme stands still on the last day that is told of it.

    Without that, the evidence of an example would be too old for whoever opens it. Signatures move no day.
    Raises NotInRecord.
    """
    found = find_programme(programme)
    if not is_invented(found):
        return today
    told: tuple[dict[str, date | None], ...] = (
        Pilot.objects.filter(line__programme=found).aggregate(last=Max("ran_on")),
        found.evidence.filter(set_aside="").aggregate(last=Max("tested_on")),
        found.changes.filter(set_aside="").aggregate(last=Max("on")),
        found.concessions.aggregate(last=Max("given_on")),
        found.limit_samples.filter(withdrawn="").aggregate(last=Max("signed_on")),
        found.toy_tests.filter(set_aside="").aggregate(last=Max("done_on")),
    )
    planned = planning_day(programme, today=date.min)
    last = max([planned, *(one["last"] for one in told if one["last"] is not None and one["last"] <= today)])
    return last if last > date.min else today
