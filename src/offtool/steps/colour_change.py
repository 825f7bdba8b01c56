"""What a change of colour takes on a press of the record, and in which colour a trial is best shot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from offtool import __version__
from offtool.core.planning.colour_change import (
    ChangeCurve,
    ColourChange,
    ColourDecision,
    Interrupted,
    Plastic,
    ShotCosts,
    change_curve,
    change_table,
    colour_change,
    decide_colour,
)
from offtool.core.planning.colour_change.meeting import NOT_SAID
from offtool.core.planning.shots import shots_to_run
from offtool.core.values import Caution, OfftoolError
from offtool.handbook.colour_changes import NATURAL_LAB, USUAL_LIMIT_DE
from offtool.handbook.terms import ColourWish, TrialPurpose
from offtool.records.models import Job, Press, Programme, Tool, TrialRequest
from offtool.records.queries import (
    colour_changes_of,
    find_press,
    find_programme,
    find_tool,
    jobs_of,
    presses_of,
    requests_of,
    running_jobs,
)
from offtool.steps.colour_found import ChangeCell, ChangeSeen, ColourFound, ColourPlace, PlasticSeen
from offtool.steps.colour_known import (
    resin_of_tool,
    shot_costs,
    shot_taken,
    washout_known,
)
from offtool.steps.colour_plastics import (
    NATURAL_KEY,
    TYPED_NEW,
    TYPED_OLD,
    distinct,
    is_now,
    named_among,
    plastic_seen,
    plastics_known,
)
from offtool.steps.colour_sentences import actions, facts, headline
from offtool.steps.overview import is_invented

METHOD = f"offtool {__version__}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourAsked:
    """What is asked. Keys are those of PlasticSeen, empty for what runs and for the first trial that waits;
    typed plastics, where given, go before them. Numbers that are None are looked up or taken, and said."""

    press: str = ""
    old: str = ""
    new: str = ""
    typed_old: Plastic | None = None
    typed_new: Plastic | None = None
    tool: str = ""
    shot_g: float | None = None
    cycle_s: float | None = None
    limit_de: float = USUAL_LIMIT_DE
    trial_shots: float | None = None
    worth_per_shot: float | None = None


def find_change(programme: str, asked: ColourAsked, *, on: date) -> ColourFound:
    """From what is in the barrel to what shall be, on one press.

    Raises NotInRecord for names that are not there; OfftoolError without a press or a colour to ask about;
    ImpossibleInput for a colour that no surface has.
    """
    return _Asking(find_programme(programme), asked, on).found()


def colour_place(programme: str, *, on: date) -> ColourPlace:
    """What can be asked about. Raises NotInRecord."""
    found = find_programme(programme)
    return ColourPlace(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        presses=tuple((one.code, str(one)) for one in presses_of(found)),
        tools=tuple(found.tools.order_by("code").values_list("code", flat=True)),
        plastics=plastics_known(found, on),
        on=on,
    )


class _Asking:
    """One question while it is answered."""

    def __init__(self, programme: Programme, asked: ColourAsked, on: date) -> None:
        self.programme, self.asked, self.on = programme, asked, on
        self.press = self._press()
        self.known = plastics_known(programme, on)
        self.jobs = {f"job {one.press.code} {one.code}": one for one in jobs_of(programme)}
        self.requests = {f"trial {one.tool.code} {one.name}": one for one in requests_of(programme)}
        self.new = self._new()
        self.tool = self._tool()
        self.old = self._old()
        self.new = self._in_resin(self.new)

    def _press(self) -> Press:
        if self.asked.press:
            return find_press(self.programme, self.asked.press)
        presses = presses_of(self.programme)
        if not presses:
            raise OfftoolError(
                "no press is written down yet",
                remedy="write one down first, with what runs on it: offtool press PROGRAMME PRESS --new",
            )
        running = {one.press_id for one in running_jobs(self.programme, self.on)}
        return next((one for one in presses if one.pk in running), presses[0])

    def _old(self) -> PlasticSeen:
        if self.asked.typed_old is not None:
            return plastic_seen(TYPED_OLD, "as typed", self.asked.typed_old)
        if self.asked.old:
            return named_among(self.known, self.asked.old)
        here = [one for one in self.known if one.key.startswith(f"job {self.press.code} ")]
        if here:
            return next((one for one in here if one.runs), here[0])
        raise OfftoolError(
            f"nothing is known to have run on {self.press.code}",
            where="old",
            remedy="say which colour is in it",
        )

    def _new(self) -> PlasticSeen:
        if self.asked.typed_new is not None:
            return plastic_seen(TYPED_NEW, "as typed", self.asked.typed_new)
        if self.asked.new:
            return named_among(self.known, self.asked.new)
        waiting = [one for one in self.known if one.key.startswith("trial ")]
        return (waiting or [self.known[-1]])[0]

    def _in_resin(self, seen: PlasticSeen) -> PlasticSeen:
        """The uncoloured plastic is of the tool's resin, else of that which runs."""
        if seen.key != NATURAL_KEY:
            return seen
        resin = (resin_of_tool(self.tool) if self.tool is not None else "") or self.old.plastic.resin
        return plastic_seen(seen.key, seen.where, Plastic(name="natural", lab=NATURAL_LAB, resin=resin))

    def _tool(self) -> Tool | None:
        if self.asked.tool:
            return find_tool(self.programme, self.asked.tool)
        request = self.requests.get(self.new.key)
        return request.tool if request is not None else None

    @cached_property
    def request(self) -> TrialRequest | None:
        return self.requests.get(self.new.key)

    @cached_property
    def job(self) -> Job | None:
        """The job that would be interrupted."""
        return self.jobs.get(self.old.key)

    @cached_property
    def costs(self) -> ShotCosts:
        resin = self.new.plastic.resin or self.old.plastic.resin
        return shot_costs(self.press, shot_g=self.shot.shot_g, cycle_s=self.shot.cycle_s, resin=resin)

    def found(self) -> ColourFound:
        """The whole answer."""
        self.shot = shot_taken(self.press, self.tool, shot_g=self.asked.shot_g, cycle_s=self.asked.cycle_s)
        self.washout = washout_known(self.press, self.tool, limit_de=self.asked.limit_de)
        there, back = self._change(self.old, self.new), self._change(self.new, self.old)
        decision = self._decision()
        plastics, table = self._table()
        missing = tuple(dict.fromkeys((*self.shot.missing, *self.washout.missing, *there.missing)))
        observed = tuple(self._observed())
        return ColourFound(
            programme=self.programme.slug,
            programme_title=self.programme.title,
            invented=is_invented(self.programme),
            currency=self.programme.currency,
            press=self.press.code,
            press_name=self.press.name,
            tool=self.tool.code if self.tool is not None else "",
            request=f"{self.request.tool.code} {self.request.name}" if self.request is not None else "",
            on=self.on,
            old=self.old,
            new=self.new,
            there=there,
            back=back,
            curve_there=self._curve(there),
            curve_back=self._curve(back),
            decision=decision,
            plastics=plastics,
            table=table,
            fit=self.washout.fit,
            observed=observed,
            shot=self.shot,
            washout_says=self.washout.says,
            headline=headline(there, back, decision),
            actions=tuple(actions(there, back, decision, missing, observed, self.press.code)),
            rests_on=tuple(facts(self.press, self.washout, self.shot, self.costs, self.old, self.new)),
            missing=missing,
            method=METHOD,
            cautions=tuple(dict.fromkeys(self._cautions(there, decision))),
        )

    def _cautions(self, there: ColourChange, decision: ColourDecision | None) -> Iterator[Caution]:
        """What resins may do to each other comes first."""
        if not self.old.plastic.resin and not self.new.plastic.resin:
            yield NOT_SAID
        yield from (decision.cautions if decision is not None and there.never is None else ())
        yield from there.cautions
        yield from self.washout.cautions

    def _change(self, old: PlasticSeen, new: PlasticSeen) -> ColourChange:
        return colour_change(
            old.plastic,
            new.plastic,
            belief=self.washout.belief,
            costs=self.costs,
            limit_de=self.asked.limit_de,
        )

    def _curve(self, change: ColourChange) -> ChangeCurve | None:
        old, new = change.old.lab, change.new.lab
        if old is None or new is None or change.shots.value <= 0:
            return None
        last = int(min(change.shots.high, 4 * change.shots.value)) + 5
        return change_curve(
            old,
            new,
            belief=self.washout.belief,
            shot_g=self.shot.shot_g,
            last=last,
            resin_changes=change.resin_changes,
        )

    def _decision(self) -> ColourDecision | None:
        """In which colour to shoot; None where no trial is asked about."""
        request, asked = self.request, self.asked
        if request is None and asked.trial_shots is None:
            return None
        wants = list(request.wants.all()) if request is not None else []
        shots = asked.trial_shots or self._trial_shots(request)
        if not shots:
            return None
        return decide_colour(
            self.old.plastic,
            self.new.plastic,
            belief=self.washout.belief,
            costs=self.costs,
            trial_shots=shots,
            purposes=[TrialPurpose(one.purpose) for one in wants],
            wish=ColourWish(request.wish) if request is not None else ColourWish.ANY,
            job=Interrupted(
                restart_min=self.job.restart_min if self.job is not None else None,
                margin_per_h=self.job.margin_per_h if self.job is not None else None,
            ),
            worth_per_shot=asked.worth_per_shot,
            limit_de=asked.limit_de,
        )

    def _trial_shots(self, request: TrialRequest | None) -> float | None:
        """So many as the purposes of the trial take."""
        wants = list(request.wants.all()) if request is not None else []
        if request is None or not wants:
            return None
        return shots_to_run(
            [one.purpose for one in wants],
            cycle_s=self.shot.cycle_s,
            cavities=max(request.tool.cavities.count(), 1),
            pieces=[float(one.pieces or 0) for one in wants],
        ).shots

    def _table(self) -> tuple[tuple[PlasticSeen, ...], tuple[tuple[ChangeCell | None, ...], ...]]:
        asked = (self.old.key, self.new.key)
        known = [one for one in self.known if one.key not in asked and is_now(one)]
        plastics = distinct((self.old, self.new, *map(self._in_resin, known)))
        rows = change_table(
            [one.plastic for one in plastics],
            belief=self.washout.belief,
            costs=self.costs,
            limit_de=self.asked.limit_de,
        )
        return plastics, tuple(tuple(None if one is None else _cell(one) for one in row) for row in rows)

    def _observed(self) -> Iterator[ChangeSeen]:
        """The measured changes of the press, newest first; those that are set aside too."""
        fits = {one.change.name: one for one in self.washout.fit.changes} if self.washout.fit else {}
        for one in colour_changes_of(self.press):
            yield ChangeSeen(
                name=one.name,
                old_name=one.from_name,
                new_name=one.to_name,
                shots=one.shots.count(),
                file=one.file_name,
                sha256=one.sha256,
                done_on=one.done_on,
                read_by=one.read_by,
                note=one.note,
                set_aside=one.set_aside,
                fit=None if one.set_aside else fits.get(one.name),
                change_id=one.pk,
            )


def _cell(change: ColourChange) -> ChangeCell:
    return ChangeCell(
        old=change.old.name,
        new=change.new.name,
        shots=change.shots,
        kg=change.kg,
        minutes=change.minutes,
        never=change.never is not None,
        is_known=change.share_seen is not None,
    )
