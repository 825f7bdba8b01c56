"""What was seen and measured on a sample, as findings over everything that it can be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import cached_property
from typing import TypeVar

import numpy as np

from offtool.core.samples.identify import (
    Finding,
    Look,
    Occasion,
    PartCase,
    PieceCase,
    detail_finding,
    look_at_size,
    look_for_detail,
    look_for_sign,
    sign_finding,
    size_finding,
    tag_finding,
)
from offtool.core.samples.identify.resin import ResinByWeight, resin_by_weight
from offtool.core.values import ImpossibleInput
from offtool.handbook.sample_signs import AS_DETAILS, COLOUR, SEAM, SIGNS
from offtool.handbook.terms import DetailKind, SizeKind
from offtool.records.models import SampleColour, SamplePart, SampleSize, SeenDetail, SeenSign
from offtool.records.queries import DetailKept, SampleWhole
from offtool.steps.sample_colours import ColoursRecorded, places_apart
from offtool.steps.sample_origins import Origins, RunMade
from offtool.steps.sample_sizes import LOOKABLE_KINDS, SizeOfPart, SizesRecorded, sizes_asked
from offtool.steps.sentences import decimals_for

K = TypeVar("K", bound=Hashable)
S = TypeVar("S")


class SampleEvidence:
    """One sample, ready for identification: its origins, its findings, and what can still be looked at."""

    def __init__(self, origins: Origins, whole: SampleWhole) -> None:
        self.origins, self.whole = origins, whole

    @cached_property
    def makes(self) -> Mapping[str, tuple[RunMade, ...]]:
        """What each part can be, by its label."""
        return {part.label: self.origins.makes_of(part) for part in self.whole.parts}

    @cached_property
    def occasions(self) -> tuple[Occasion, ...]:
        """Where the piece can come from, early to late."""
        return self.origins.occasions(self.makes, found_on=self.whole.sample.found_on)

    @cached_property
    def case(self) -> PieceCase:
        """The piece with all that counts of what was found on it."""
        parts = tuple(
            PartCase(
                label=part.label,
                makes=tuple(one.make for one in self.makes[part.label]),
                findings=tuple(self._of_part(part)),
            )
            for part in self.whole.parts
        )
        return PieceCase(parts=parts, occasions=self.occasions, findings=tuple(self._of_piece()))

    @cached_property
    def looks(self) -> tuple[Look, ...]:
        """Everything that was not looked at yet and could be."""
        return (*self._looks_at_piece(), *(one for part in self.whole.parts for one in self._looks_at(part)))

    @cached_property
    def colours(self) -> Mapping[int, list[SampleColour]]:
        """The colours that count, by the key of their part."""
        found: dict[int, list[SampleColour]] = defaultdict(list)
        for one in self.whole.colours:
            if not one.set_aside:
                found[one.sample_part_id].append(one)
        return found

    @cached_property
    def colours_recorded(self) -> ColoursRecorded:
        """The colours of the record's runs and jobs."""
        return ColoursRecorded(self.origins.ground, found_on=self.whole.sample.found_on)

    @cached_property
    def _sizes(self) -> SizesRecorded:
        return SizesRecorded(self.origins.ground, tuple(sizes_asked(self.origins.ground, self.whole.parts)))

    @cached_property
    def _details(self) -> Mapping[int, list[DetailKept]]:
        found: dict[int, list[DetailKept]] = defaultdict(list)
        for one in self.origins.ground.details:
            found[one.detail.part_id].append(one)
        return found

    @cached_property
    def _seen_details(self) -> Mapping[tuple[int, int], tuple[SeenDetail, bool]]:
        """By part and detail: what was seen and whether anybody was sure; not where people disagree."""
        rows = [one for one in self.whole.details if not one.set_aside]
        found = _grouped(rows, lambda one: (one.sample_part_id, one.detail_id))
        agreed = {key: seen for key, seen in found.items() if len({one.is_there for one in seen}) == 1}
        return {key: (seen[-1], any(one.is_sure for one in seen)) for key, seen in agreed.items()}

    @cached_property
    def _seen_signs(self) -> Mapping[tuple[int | None, str], tuple[SeenSign, bool]]:
        """By part (none for the whole piece) and sign, in the same way.

        What was seen of the whole piece gives way to the same sign seen part by part.
        """
        rows = [one for one in self.whole.signs if not one.set_aside and one.sign in SIGNS]
        found = _grouped(rows, lambda one: (one.sample_part_id, one.sign))
        of_parts = {code for part, code in found if part is not None}
        agreed = {
            (part, code): seen
            for (part, code), seen in found.items()
            if len({one.outcome for one in seen}) == 1 and not (part is None and code in of_parts)
        }
        return {key: (seen[-1], any(one.is_sure for one in seen)) for key, seen in agreed.items()}

    @cached_property
    def disagreements(self) -> tuple[str, ...]:
        """What people saw or measured differently."""
        return tuple(dict.fromkeys(self._disagreements()))

    def _disagreements(self) -> Iterator[str]:
        details = [one for one in self.whole.details if not one.set_aside]
        for seen in _grouped(details, lambda one: (one.sample_part_id, one.detail_id)).values():
            if len({one.is_there for one in seen}) > 1:
                yield f"{seen[0].detail} of {seen[0].sample_part.label} was seen there, and missing"
        signs = [one for one in self.whole.signs if not one.set_aside]
        for of_sign in _grouped(signs, lambda one: (one.sample_part_id, one.sign)).values():
            if len(outcomes := {one.outcome: None for one in of_sign}) > 1:
                of = f" of {of_sign[0].sample_part.label}" if of_sign[0].sample_part is not None else ""
                yield f"{of_sign[0].sign}{of} was seen as {' and as '.join(outcomes)}"
        for part in self.whole.parts:
            for size in self.sizes[part.pk]:
                if size.differs:
                    yield f"{size.record.name} of {part.label} was measured as {size.differs}"
            if apart := places_apart(self.colours.get(part.pk, ())):
                yield f"the colours of {part.label} lie {apart:.0f} ΔE00 apart"

    @cached_property
    def sizes(self) -> Mapping[int, tuple[SizeOfPart, ...]]:
        """The characteristics of each part, measured on it or not, by the key of the part."""
        readings: dict[int, list[SampleSize]] = defaultdict(list)
        for one in self.whole.sizes:
            if not one.set_aside:
                readings[one.sample_part_id].append(one)
        return {
            part.pk: self._sizes.of_part(part, self.makes[part.label], readings[part.pk])
            for part in self.whole.parts
        }

    @cached_property
    def _has_a_seam(self) -> bool:
        """Whether a part of the piece may be welded: not known where no seam or no part is recorded."""
        welded = self.origins.ground.welded
        parts = {part.part_id for part in self.whole.parts}
        return not welded or not parts or bool(welded & parts)

    def resins(self) -> Iterator[tuple[str, ResinByWeight]]:
        """Of each part that was weighed, which resin its weight fits."""
        for part in self.whole.parts:
            for size in self.sizes[part.pk]:
                means = size.record.means[np.isfinite(size.record.means)]
                if size.characteristic.kind == SizeKind.WEIGHT.value and size.measured and means.size:
                    with suppress(ImpossibleInput):  # a resin or a weight that no part has
                        resin = part.part.resin.code
                        yield part.label, resin_by_weight(size.measured.value, float(means.mean()), resin)

    def _of_part(self, part: SamplePart) -> Iterator[Finding]:
        makes = self.makes[part.label]
        plain = tuple(one.make for one in makes)
        if not plain:
            return
        yield from self._tags(part, makes)
        for kept in self._details.get(part.part_id, ()):
            if (part.pk, kept.detail.pk) in self._seen_details:
                seen, is_sure = self._seen_details[part.pk, kept.detail.pk]
                kind = DetailKind(kept.detail.kind)
                shows = _shows(kept, makes)
                yield detail_finding(
                    str(kept.detail), seen.is_there, shows, plain, kind=kind, is_sure=is_sure
                )
        measured = [one.measured for one in self.sizes[part.pk] if one.measured is not None]
        if measured:
            yield size_finding(measured, plain, cavity=self._cavity(part, makes))
        if (colour := self._colour(part, makes)) is not None:
            yield colour
        yield from self._signs_of(part, makes)

    def _signs_of(self, part: SamplePart, makes: Sequence[RunMade]) -> Iterator[Finding]:
        stages = [one.make.stage for one in makes]
        for (key, code), (seen, is_sure) in self._seen_signs.items():
            if key != part.pk or self._is_said_better(part, code, makes):
                continue
            yield sign_finding(
                SIGNS[code],
                seen.outcome,
                stages,
                shares=self.origins.shares[code],
                is_sure=is_sure,
                parts_looked_at=sum(at is not None and of == code for at, of in self._seen_signs),
            )

    def _of_piece(self) -> Iterator[Finding]:
        stages = [one.stage for one in self.occasions]
        if self.whole.sample.build is not None:
            named = self.whole.sample.build.code
            matches = [one.code == named for one in self.occasions]
            yield tag_finding("tag", named, matches, others=len(self.occasions) - 1)
        for (key, code), (seen, is_sure) in self._seen_signs.items():
            said_better = code == COLOUR and any(self.colours.values())
            if key is None and not said_better:
                shares = self.origins.shares[code]
                yield sign_finding(SIGNS[code], seen.outcome, stages, shares=shares, is_sure=is_sure)

    def _is_said_better(self, part: SamplePart, code: str, makes: Sequence[RunMade]) -> bool:
        """Whether a measured colour, or a detail that was looked for, says it better than the sign."""
        if code == COLOUR:
            return self._colour(part, makes) is not None
        return code in AS_DETAILS and any(key == part.pk for key, _ in self._seen_details)

    def _colour(self, part: SamplePart, makes: Sequence[RunMade]) -> Finding | None:
        return self.colours_recorded.finding(part, makes, self.colours)

    def _tags(self, part: SamplePart, makes: Sequence[RunMade]) -> Iterator[Finding]:
        """What the tag says: the trial, and the state of the steel."""
        runs = [one.trial.pk if one.trial is not None else None for one in makes]
        if part.trial is not None and part.trial.pk in runs:
            says, own = f"{part.trial.name} of {part.trial.tool.code}", part.trial.pk
            yield tag_finding("tag", says, [one == own for one in runs], others=len({*runs}) - 1)
        states = [one.state.pk if one.state is not None else None for one in makes]
        if part.state is not None and part.state.pk in states:
            says, own = f"state {part.state.label} of {part.state.tool.code}", part.state.pk
            yield tag_finding("tag, state", says, [one == own for one in states], others=len({*states}) - 1)

    def _cavity(self, part: SamplePart, makes: Sequence[RunMade]) -> int | None:
        """Its place among the cavities of the tool, where the part says it."""
        if part.cavity is None:
            return None
        for row in self._sizes.cavities(part.part_id, makes):
            keys = [cavity.pk for cavity in row]
            if part.cavity.pk in keys:
                return keys.index(part.cavity.pk)
        return None

    def _looks_at(self, part: SamplePart) -> Iterator[Look]:
        makes = self.makes[part.label]
        plain = tuple(one.make for one in makes)
        if not plain:
            return
        for kept in self._details.get(part.part_id, ()):
            if (part.pk, kept.detail.pk) not in self._seen_details:
                where = kept.detail.where or "look for it"
                kind = DetailKind(kept.detail.kind)
                shows = _shows(kept, makes)
                look = look_for_detail(part.label, str(kept.detail), where, shows, plain, kind)
                yield replace(look, code=kept.detail.code)
        cavity = self._cavity(part, makes)
        for size in self.sizes[part.pk]:
            one = size.characteristic
            if size.measured is None and one.kind in LOOKABLE_KINDS:
                decimals = decimals_for(one.lower, one.upper, one.nominal)
                sized = look_at_size(
                    part.label, size.record, size.uncertainty, plain, cavity=cavity, decimals=decimals
                )
                if sized is not None:
                    yield replace(sized, code=one.number)
        for code, sign in SIGNS.items():
            seen = (part.pk, code) in self._seen_signs or (None, code) in self._seen_signs
            if code in AS_DETAILS and self._details.get(part.part_id):
                continue
            if sign.of_each_part and not seen and not (code == COLOUR and self.colours.get(part.pk)):
                stages = [one.make.stage for one in makes]
                yield look_for_sign(part.label, sign, stages, self.origins.shares[code])

    def _looks_at_piece(self) -> Iterator[Look]:
        stages = [one.stage for one in self.occasions]
        for code, sign in SIGNS.items():
            of_piece = not sign.of_each_part or not self.whole.parts
            if code == SEAM and not self._has_a_seam:
                continue
            if of_piece and (None, code) not in self._seen_signs:
                yield look_for_sign("", sign, stages, self.origins.shares[code])


def _shows(kept: DetailKept, makes: Sequence[RunMade]) -> list[bool | None]:
    return [_shown(kept, one) for one in makes]


def _shown(kept: DetailKept, made: RunMade) -> bool | None:
    """As its state is recorded; steel after the last state has what stays, and the rest is not known."""
    if made.state is not None:
        return kept.in_state.get(made.state.pk)
    stays = kept.detail.kind == DetailKind.STAYS.value
    has_it = made.after is not None and kept.in_state.get(made.after.pk) is True
    return True if stays and has_it else None


def _grouped(rows: Sequence[S], key: Callable[[S], K]) -> dict[K, list[S]]:
    found: dict[K, list[S]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return found
