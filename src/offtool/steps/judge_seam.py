"""Judge a seam: is it drawn well, is the welder set well, is it strong enough, was every piece welded."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cached_property
from typing import TypeVar

from offtool import __version__
from offtool.core.values import Caution, OfftoolError, Verdict
from offtool.core.welding.amplitude import HornAmplitude, horn_amplitude
from offtool.core.welding.audit import WeldAudit, weld_audit
from offtool.core.welding.cautions import AT_THE_WELDER, PULLING
from offtool.core.welding.design import SeamDesign, check_seam
from offtool.core.welding.energy import WeldEnergy, weld_energy
from offtool.core.welding.melt import SeamMelt, seam_melt
from offtool.core.welding.open_seam import SeamState, recognise_open_seam
from offtool.core.welding.strength import StrengthFinding, judge_strength
from offtool.core.welding.study import SettingFinding, WeldRun, WeldWindow, weld_window
from offtool.core.welding.weibull import WeibullFit, fit_weibull
from offtool.handbook.terms import Ridge
from offtool.records.models import Programme, Seam, WeldStudy
from offtool.records.queries import find_programme, find_seam, seams_of, studies_of_seam, weld_runs
from offtool.steps.answered_before import answered_before
from offtool.steps.gauge_uncertainty import gauge_uncertainty_of
from offtool.steps.latest_sizes import SizesMeasured
from offtool.steps.overview import is_invented
from offtool.steps.seam_found import PieceNotWelded, SeamFound, SeamsFound, WeldStudySeen
from offtool.steps.seam_in_record import (
    SeamInRecord,
    mean_and_sd_of,
    pulled,
    runs_of,
    welded_heights,
    welded_pull,
)
from offtool.steps.seam_sentences import actions, facts, headline, headline_of_all, setting_in_words
from offtool.steps.sizes_seen import trial_in_words

METHOD = f"offtool {__version__}"
CONFIDENCE = 0.95
SMALLEST_DROP = 2.0
"""Standard deviations by which the mean may drop before an audit must find it; common practice, no source."""

STALE = Caution("steel was cut since every piece that was welded and pulled: weld and pull again")

R = TypeVar("R")

window_of = answered_before(weld_window)


def judge_seam(programme: str, seam: str) -> SeamFound:
    """One seam with all that stands behind it. Raises NotInRecord."""
    found = find_programme(programme)
    return _Judging(found, find_seam(found, seam), SizesMeasured()).found()


def strength_of_seam(programme: str, seam: str, measured: SizesMeasured) -> StrengthFinding | None:
    """What the pulls of one seam show at its best setting; None without any. Raises NotInRecord."""
    found = find_programme(programme)
    return _Judging(found, find_seam(found, seam), measured).strength


def judge_seams(programme: str, measured: SizesMeasured | None = None) -> SeamsFound:
    """Every seam of a programme, with the sizes that are looked up already. Raises NotInRecord."""
    found = find_programme(programme)
    seams = seams_of(found)
    measured = measured or SizesMeasured()
    measured.latest(
        [size.characteristic for seam in seams for size in seam.sizes.all() if size.characteristic]
    )
    judged = tuple(_Judging(found, seam, measured).found() for seam in seams)
    return SeamsFound(
        programme=found.slug,
        programme_title=found.title,
        invented=is_invented(found),
        headline=headline_of_all(judged),
        seams=judged,
    )


class _Judging:
    """One seam while it is judged; what cannot be said is kept with its reason."""

    def __init__(self, programme: Programme, seam: Seam, measured: SizesMeasured) -> None:
        self.programme, self.seam, self.measured = programme, seam, measured
        sizes = [size.characteristic for size in seam.sizes.all() if size.characteristic]
        self.told = SeamInRecord(seam, measured.latest(sizes))
        self.studies = studies_of_seam(seam)
        self.counting = [one for one in self.studies if not one.set_aside]
        self.kept = weld_runs(self.counting)
        self.runs: tuple[WeldRun, ...] = runs_of(self.kept)
        self.said: list[str] = []

    def _try(self, about: str, work: Callable[[], R]) -> R | None:
        """The answer, or None with the reason kept."""
        try:
            return work()
        except OfftoolError as error:
            self.said.append(f"{about}: {error}")
            return None

    def found(self) -> SeamFound:
        """The whole answer."""
        seam, strength = self.seam, self.strength
        found = SeamFound(
            programme=self.programme.slug,
            programme_title=self.programme.title,
            invented=is_invented(self.programme),
            seam=seam.code,
            name=seam.name,
            kind=seam.kind,
            top=seam.top_part.code,
            bottom=seam.bottom_part.code,
            top_resin=seam.top_part.resin.code,
            bottom_resin=seam.bottom_part.resin.code,
            required_n=seam.required_n,
            largest_flash_mm=seam.largest_flash_mm,
            verdict=self._verdict(),
            headline="",
            actions=(),
            rests_on=(),
            sizes=self.told.seen(),
            missing=tuple(self.told.missing),
            design=self._design(),
            melt=self._melt,
            energy=self._energy(),
            amplitude=self._amplitude(),
            window=self.window,
            setting=self.setting,
            strength=strength,
            weibull=self._weibull(),
            audit=self._audit(),
            not_welded=tuple(one for _, one in self._not_welded),
            pulled=sum(one.strength_n is not None for one in self.runs),
            pulled_welded=sum(self.runs[i].strength_n is not None for i in self._welded),
            studies=tuple(self._study(one) for one in self.studies),
            said=(),
            method=METHOD,
        )
        found = replace(found, said=tuple(self.said), cautions=self._cautions(found))
        return replace(
            found,
            headline=headline(found),
            actions=tuple(actions(found)),
            rests_on=tuple(facts(found)),
        )

    @property
    def _is_stale(self) -> bool:
        """Whether steel was cut since every study that counts."""
        return bool(self.counting) and all(self._is_old(one) for one in self.counting)

    def _is_old(self, study: WeldStudy) -> bool:
        return self.measured.is_of_old_steel((study.top_trial, study.bottom_trial))

    def _verdict(self) -> Verdict:
        """Strength and look together; runs on steel that has changed since show nothing of today's.

        The headline is said in the same order: too weak, does not look good, held before the cut, holds.
        """
        strength, setting = self.strength, self.setting
        if strength is None:
            return Verdict.NOT_SHOWN
        if setting is not None and setting.looks_verdict is Verdict.FAILS:
            return Verdict.FAILS
        return Verdict.NOT_SHOWN if self._is_stale and strength.verdict is Verdict.HOLDS else strength.verdict

    def _design(self) -> SeamDesign | None:
        return self._try("design", lambda: check_seam(self.told.as_sizes()))

    @cached_property
    def _melt(self) -> SeamMelt | None:
        return self._try("melt", lambda: seam_melt(self.told.as_sizes()))

    def _energy(self) -> WeldEnergy | None:
        melt = self._melt
        if melt is None:
            return None
        middle = (melt.volume_mm3.low + melt.volume_mm3.high) / 2
        resin = self.seam.top_part.resin.code
        return self._try("energy", lambda: weld_energy(middle, resin=resin))

    def _amplitude(self) -> HornAmplitude | None:
        seam = self.seam
        converter, frequency = seam.converter_um, seam.frequency_khz
        booster, horn = seam.booster_gain, seam.horn_gain
        if converter is None or frequency is None or booster is None or horn is None:
            return None
        return self._try(
            "amplitude",
            lambda: horn_amplitude(
                converter,
                booster,
                horn,
                stated="peak-to-peak",
                frequency_khz=frequency,
                amplitude_pct=seam.amplitude_pct,
                resin=seam.top_part.resin.code,
                horn_distance_mm=seam.horn_distance_mm,
            ),
        )

    @cached_property
    def window(self) -> WeldWindow | None:
        """The settings of all runs that count, and the window between them."""
        table, required = pulled([self.runs[i] for i in self._welded]), self.seam.required_n
        if table is None or required is None:
            return None
        return self._try(
            "weld window",
            lambda: window_of(table, required_n=required, largest_flash_mm=self.seam.largest_flash_mm),
        )

    @cached_property
    def setting(self) -> SettingFinding | None:
        """The setting that stands best by its own runs: it holds, has the strongest bound, most pulls.

        One of which nothing is known cannot be welded at again: it counts where there is no other.
        """
        if self.window is None or not self.window.settings:
            return None
        known = [one for one in self.window.settings if _is_known(one)] or list(self.window.settings)
        return max([one for one in known if one.pulls] or known, key=_standing)

    @cached_property
    def _at_setting(self) -> list[int]:
        """The runs at that setting that were pulled."""
        one = self.setting
        if one is None:
            return []
        wanted = (one.time_s, one.pressure_bar, one.amplitude_um)
        runs = self.runs
        return [i for i in self._welded if runs[i].setting == wanted and runs[i].strength_n is not None]

    @cached_property
    def _welded(self) -> list[int]:
        """The runs but for those that are seen to be open: they say nothing of the weld."""
        is_open = {i for i, one in self._not_welded if one.found.state is SeamState.OPEN}
        return [i for i in range(len(self.runs)) if i not in is_open]

    @property
    def _pulls(self) -> tuple[list[float], list[float]]:
        runs = [self.runs[i] for i in self._at_setting]
        return [one.strength_n or 0.0 for one in runs], [float(one.stopped) for one in runs]

    @cached_property
    def strength(self) -> StrengthFinding | None:
        """Whether the pulls of that setting show the requirement."""
        strengths, stopped = self._pulls
        required = self.seam.required_n
        if not strengths or required is None:
            return None
        # The best of several settings was chosen: its risk is the share of the whole that each has.
        sure = self.window.each_confidence if self.window is not None else CONFIDENCE
        return self._try(
            "strength", lambda: judge_strength(strengths, required, stopped=stopped, confidence=sure)
        )

    def _weibull(self) -> WeibullFit | None:
        strengths, stopped = self._pulls
        if not strengths or min(strengths) <= 0:
            return None
        return self._try(
            "Weibull",
            lambda: fit_weibull(strengths, stopped=stopped, required_n=self.seam.required_n),
        )

    def _audit(self) -> WeldAudit | None:
        found = self.strength
        if found is None or not found.sd_n or found.verdict is not Verdict.HOLDS:
            return None
        if found.stopped:
            self.said.append("audit: with stopped pulls the spread is not known; pull some to the end")
            return None
        mean, sd, required = found.mean_n, found.sd_n, found.required_n
        drop = max(mean - required - sd, SMALLEST_DROP * sd)
        return self._try("audit", lambda: weld_audit(mean, sd, required, drop_n=drop))

    @cached_property
    def _not_welded(self) -> list[tuple[int, PieceNotWelded]]:
        """Runs of pieces that are open, or more likely so than not."""
        return list(self._seem_open())

    def _seem_open(self) -> Iterator[tuple[int, PieceNotWelded]]:
        heights = mean_and_sd_of(welded_heights(self.kept))
        open_height, pull = self.told.value("open_height"), welded_pull(self.kept)
        names = {one.pk: one.name for one in self.counting}
        for i, run in enumerate(self.runs):
            ridge = str(self.kept.ridge[i]) or "not looked"
            apart = str(self.kept.failure[i]) or "not looked"
            if ridge != Ridge.INTACT.value and (heights is None or open_height is None):
                continue
            found = self._try(
                f"piece {self.kept.piece[i]}",
                lambda run=run, ridge=ridge, apart=apart: recognise_open_seam(  # type: ignore[misc]
                    height_mm=run.height_mm,
                    welded_height_mm=heights[0] if heights and open_height else None,
                    open_height_mm=open_height if heights and open_height else None,
                    welded_sd_mm=max(heights[1], 0.01) if heights else 0.05,
                    ridge=ridge,
                    came_apart=apart,
                    pull_n=run.strength_n,
                    welded_pull_n=pull,
                ),
            )
            if found is not None and found.state is not SeamState.WELDED and found.probability_open > 0.5:
                piece = PieceNotWelded(
                    study=names[int(self.kept.study_id[i])],
                    piece=str(self.kept.piece[i]),
                    setting=setting_in_words(run.time_s, run.pressure_bar, run.amplitude_um),
                    found=found,
                )
                yield i, piece

    def _study(self, one: WeldStudy) -> WeldStudySeen:
        gauge = gauge_uncertainty_of(one.gauge) if one.gauge is not None else None
        return WeldStudySeen(
            name=one.name,
            file=one.file_name,
            sha256=one.sha256,
            done_on=one.done_on,
            read_by=one.read_by,
            runs=int((self.kept.study_id == one.pk).sum()) if not one.set_aside else one.runs.count(),
            gauge=one.gauge.code if one.gauge is not None else "",
            gauge_says=gauge.says if gauge is not None else "no gauge study",
            top_trial=trial_in_words(one.top_trial),
            bottom_trial=trial_in_words(one.bottom_trial),
            is_stale=self._is_old(one),
            note=one.note,
            set_aside=one.set_aside,
            study_id=one.pk,
        )

    def _cautions(self, found: SeamFound) -> tuple[Caution, ...]:
        """What must be said beside the answer and all its parts, each once; the welder comes first."""
        parts = (
            *(found.design, found.melt, found.amplitude, found.window),
            *(found.strength, found.weibull, found.audit),
        )
        of_parts = (caution for part in parts if part is not None for caution in part.cautions)
        stale = (STALE,) if self._is_stale else ()
        pulling = (PULLING,) if self.runs else ()
        return tuple(dict.fromkeys((*AT_THE_WELDER, *pulling, *stale, *self.told.cautions, *of_parts)))


def _is_known(one: SettingFinding) -> bool:
    return any(value is not None for value in (one.time_s, one.pressure_bar, one.amplitude_um))


def _standing(one: SettingFinding) -> tuple[bool, bool, float, int]:
    """Settings that hold first, then by the bound of their strength, then by how many were pulled."""
    bound = one.strength_low_n if one.strength_low_n is not None else -1.0
    return one.verdict is Verdict.HOLDS, one.looks_verdict is not Verdict.FAILS, bound, one.pulls
