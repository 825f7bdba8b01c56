"""What was seen and measured on a sample, as findings over everything that it can be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cached_property

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
from offtool.steps.sample_colours import ColoursRecorded
from offtool.steps.sample_origins import Origins, RunMade
from offtool.steps.sample_sizes import SizeOfPart, SizesRecorded, sizes_asked
from offtool.steps.sentences import decimals_for

LOOKABLE_KINDS = (SizeKind.DIAMETER.value, SizeKind.LENGTH.value, SizeKind.WALL.value, SizeKind.WEIGHT.value)
"""Sizes that are worth measuring on a piece that must not be used up."""


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
        return ColoursRecorded(self.origins.ground)

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
        """By part and detail: the last word, and whether it is sure; it is not where people disagree."""
        found: dict[tuple[int, int], tuple[SeenDetail, bool]] = {}
        for one in self.whole.details:
            if not one.set_aside:
                before = found.get((one.sample_part_id, one.detail_id))
                agrees = before is None or before[0].is_there == one.is_there
                found[one.sample_part_id, one.detail_id] = one, one.is_sure and agrees
        return found

    @cached_property
    def _seen_signs(self) -> Mapping[tuple[int | None, str], tuple[SeenSign, bool]]:
        """By part (none for the whole piece) and sign, in the same way."""
        found: dict[tuple[int | None, str], tuple[SeenSign, bool]] = {}
        for one in self.whole.signs:
            if not one.set_aside and one.sign in SIGNS:
                before = found.get((one.sample_part_id, one.sign))
                agrees = before is None or before[0].outcome == one.outcome
                found[one.sample_part_id, one.sign] = one, one.is_sure and agrees
        return found

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
        if (tag := _tag(part, makes)) is not None:
            yield tag
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
        if (colour := self.colours_recorded.finding(part, makes, self.colours.get(part.pk, ()))) is not None:
            yield colour
        yield from self._signs_of(part, makes)

    def _signs_of(self, part: SamplePart, makes: Sequence[RunMade]) -> Iterator[Finding]:
        stages = [one.make.stage for one in makes]
        for (key, code), (seen, is_sure) in self._seen_signs.items():
            if key != part.pk or (code == COLOUR and self.colours.get(part.pk)):
                continue  # of another part; or the measured colour says it better
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
            code = self.whole.sample.build.code
            yield tag_finding(code, [one.code == code for one in self.occasions])
        for (key, code), (seen, is_sure) in self._seen_signs.items():
            if key is None:
                shares = self.origins.shares[code]
                yield sign_finding(SIGNS[code], seen.outcome, stages, shares=shares, is_sure=is_sure)

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
                yield look_for_detail(part.label, str(kept.detail), where, _shows(kept, makes), plain, kind)
        for size in self.sizes[part.pk]:
            one = size.characteristic
            if size.measured is None and one.kind in LOOKABLE_KINDS:
                decimals = decimals_for(one.lower, one.upper, one.nominal)
                look = look_at_size(part.label, size.record, size.uncertainty, plain, decimals=decimals)
                if look is not None:
                    yield look
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


def _tag(part: SamplePart, makes: Sequence[RunMade]) -> Finding | None:
    """What the tag says: a trial, else a state of the steel."""
    if part.trial is not None:
        trial = part.trial
        matches = [one.trial is not None and one.trial.pk == trial.pk for one in makes]
        says = f"{trial.name} of {trial.tool.code}"
    elif part.state is not None:
        state = part.state
        matches = [one.state is not None and one.state.pk == state.pk for one in makes]
        says = f"state {state.label} of {state.tool.code}"
    else:
        return None
    return tag_finding(says, matches) if any(matches) else None
