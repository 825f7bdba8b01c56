"""The day from which is planned where nobody names one."""

from __future__ import annotations

from datetime import date

from django.db.models import Max

from offtool.records.models import JointTest, Trial
from offtool.records.queries import find_programme
from offtool.steps.overview import is_invented


def planning_day(programme: str, *, today: date) -> date:
    """Today; but an invented programme stands still on the last day that is told of it.

    Without that, the presses and people of an example would all be in the past for whoever opens it.
    """
    found = find_programme(programme)
    if not is_invented(found):
        return today
    shot = Trial.objects.filter(tool__programme=found).aggregate(last=Max("shot_on"))["last"]
    tested = JointTest.objects.filter(joint__programme=found).aggregate(last=Max("done_on"))["last"]
    return max((one for one in (shot, tested) if one is not None), default=today)
