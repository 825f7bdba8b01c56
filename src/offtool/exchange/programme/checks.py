"""What must hold between the tables of a folder: names that are there, and only once; limits in order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.ground_checks import check_ground
from offtool.exchange.programme.inspection_checks import check_inspection
from offtool.exchange.programme.joint_checks import check_joints
from offtool.exchange.programme.line_checks import check_lines
from offtool.exchange.programme.names import readings_file_names
from offtool.exchange.programme.pilot_checks import check_pilots
from offtool.exchange.programme.planning_checks import check_planning
from offtool.exchange.programme.readings import FOLDER as READINGS
from offtool.exchange.programme.readings import TrialReadings
from offtool.exchange.programme.refused import Place, refuse_unknown
from offtool.exchange.programme.release_checks import check_release
from offtool.exchange.programme.rows import CharacteristicRow, CorrectionRow, PredictionRow, Row
from offtool.exchange.programme.sample_checks import check_samples
from offtool.exchange.programme.seam_checks import check_seams
from offtool.handbook.terms import UNITS, CorrectionStatus, SizeKind

Names: TypeAlias = tuple[str, ...]


def check_folder(told: ProgrammeFolder) -> None:
    """Raise FolderRefused for the first thing that does not hold between the tables."""
    for each in fields(told):
        rows = getattr(told, each.name)
        if isinstance(rows, tuple):
            _refuse_twice(rows)
    checks = _Checks(told)
    checks.product()
    checks.tools()
    checks.steel()
    checks.sources()
    for (tool, trial), readings in told.readings.items():
        checks.readings(tool, trial, readings)
    checks.corrections()
    checks.predictions()
    check_inspection(told, checks.names)
    check_joints(told, checks.names)
    check_seams(told, checks.names)
    check_ground(told, checks.names)
    check_samples(told, checks.names)
    check_planning(told, checks.names)
    check_lines(told, checks.names)
    check_pilots(told, checks.names)
    check_release(told, checks.names)


def _refuse_twice(rows: Iterable[Row]) -> None:
    seen: dict[Names, int] = {}
    for row in rows:
        if row.key and row.names in seen:
            what = f"{' '.join(row.names)} stands on line {seen[row.names]} already"
            raise row.place(", ".join(row.key)).refuse(what, "keep one of them")
        seen[row.names] = row.line


class _Checks:
    """The checks, which need to know all names that there are."""

    def __init__(self, told: ProgrammeFolder) -> None:
        self.told = told
        self.names = {
            each.name: {row.names for row in getattr(told, each.name)}
            for each in fields(told)
            if isinstance(getattr(told, each.name), tuple)
        }
        self.part_of_feature = {feature.names: feature.part for feature in told.features}
        self.made = {(cavity.tool, cavity.part) for cavity in told.cavities}

    def product(self) -> None:
        """Parts name their resin, characteristics their part, gauge, and limits that can be."""
        for part in self.told.parts:
            refuse_unknown(part.place("resin"), (part.resin,), self.names["resins"])
        for size in self.told.characteristics:
            refuse_unknown(size.place("part"), (size.part,), self.names["parts"])
            if size.gauge:
                refuse_unknown(size.place("gauge"), (size.gauge,), self.names["gauges"])
            _refuse_impossible_limits(size)

    def tools(self) -> None:
        """Cavities name their part, trials their state; no two states stand in one place."""
        for cavity in self.told.cavities:
            refuse_unknown(cavity.place("part"), (cavity.part,), self.names["parts"])
        labels: dict[tuple[str, int], str] = {}
        for state in self.told.states:
            first = labels.setdefault((state.tool, state.ordinal), state.label)
            if first != state.label:
                what = f"{state.ordinal} is the place of state {first!r}"
                raise state.place("ordinal").refuse(what, "count states in order of time")
        for trial in self.told.trials:
            refuse_unknown(trial.place("tool"), (trial.tool,), self.names["tools"])
            refuse_unknown(trial.place("state"), (trial.tool, trial.state), self.names["states"])
            if trial.moulded_at and trial.measured_at and trial.measured_at < trial.moulded_at:
                what = f"{trial.measured_at} is before moulded_at {trial.moulded_at}"
                raise trial.place("measured_at").refuse(what, "parts are measured after they are moulded")

    def steel(self) -> None:
        """Features, what they move, and steel sizes belong together; a size is formed once."""
        for feature in self.told.features:
            refuse_unknown(feature.place("tool"), (feature.tool,), self.names["tools"])
            refuse_unknown(feature.place("part"), (feature.part,), self.names["parts"])
            if feature.size_change_per_mm == 0:
                what = "0: removing steel always changes the steel size"
                raise feature.place("size_change_per_mm").refuse(what, "give 1, -1, 2 or -2")
        formed: dict[Names, str] = {}
        for move in self.told.moves:
            part = self._part_of((move.tool, move.feature), move)
            size = (part, move.characteristic)
            refuse_unknown(move.place("characteristic"), size, self.names["characteristics"])
            if move.factor == 0:
                raise move.place("factor").refuse("0: the feature moves nothing", "take the row out")
            if move.forms and formed.setdefault(size, move.feature) != move.feature:
                what = f"characteristic {move.characteristic} of {part} is formed by {formed[size]} already"
                raise move.place("forms").refuse(what, "say yes for one feature only")
        for steel in self.told.steel_sizes:
            part = self._part_of((steel.tool, steel.feature), steel)
            refuse_unknown(steel.place("cavity"), (steel.tool, part, steel.cavity), self.names["cavities"])
            refuse_unknown(steel.place("state"), (steel.tool, steel.state), self.names["states"])

    def sources(self) -> None:
        """Every source file has its trial and its readings, and no two have the same bytes and sheet."""
        first: dict[Names, str] = {}
        for source in self.told.sources:
            refuse_unknown(source.place("tool"), (source.tool,), self.names["tools"])
            refuse_unknown(source.place("trial"), (source.tool, source.trial), self.names["trials"])
            if first.setdefault(source.read, source.file) != source.file:
                sheet = f" and the same sheet {source.sheet!r}" if source.sheet else ""
                what = f"it has the same bytes{sheet} as {first[source.read]}"
                raise source.place("sha256").refuse(what, "keep one of them: a file is read once")
            readings = self.told.readings.get((source.tool, source.trial))
            if readings is None or source.file not in readings.files:
                what = f"{source.file!r} has no readings"
                raise source.place("file").refuse(what, "give its readings, or take the row out")

    def readings(self, tool: str, trial: str, readings: TrialReadings) -> None:
        """A reading's characteristic, cavity and file are there, and the tool makes the part."""
        trials = ((each.tool, each.name) for each in self.told.trials)
        table = f"{READINGS}/{readings_file_names(trials)[tool, trial]}"

        def place(column: str, chosen: NDArray[np.bool_]) -> Place:
            return Place(table, int(readings.line[chosen.argmax()]), column)

        for index, (part, number) in enumerate(readings.characteristics):
            chosen = readings.characteristic == index
            refuse_unknown(place("part_code", chosen), (part,), self.names["parts"])
            refuse_unknown(place("characteristic", chosen), (part, number), self.names["characteristics"])
            if (tool, part) not in self.made:
                remedy = f"give {part} its cavities under [tool.cavities], or put the readings to their tool"
                raise place("part_code", chosen).refuse(f"tool {tool} makes no part {part}", remedy)
        for index, (part, label) in enumerate(readings.cavities):
            refuse_unknown(
                place("cavity", readings.cavity == index), (tool, part, label), self.names["cavities"]
            )
        listed = {(each.file,) for each in self.told.sources if (each.tool, each.trial) == (tool, trial)}
        for index, file in enumerate(readings.files):
            refuse_unknown(place("file", readings.file == index), (file,), listed)

    def corrections(self) -> None:
        """A correction names its trial, feature and cavity; one that was cut names the state it led to."""
        for each in self.told.corrections:
            refuse_unknown(each.place("trial"), (each.tool, each.trial), self.names["trials"])
            part = self._part_of((each.tool, each.feature), each)
            refuse_unknown(each.place("cavity"), (each.tool, part, each.cavity), self.names["cavities"])
            if each.amount_mm == 0:
                raise each.place("amount_mm").refuse("0: no steel is changed", "take the row out")
            _refuse_half_cut(each)
            if each.resulting_state:
                state = (each.tool, each.resulting_state)
                refuse_unknown(each.place("resulting_state"), state, self.names["states"])

    def predictions(self) -> None:
        """A prediction names trial, characteristic, cavity, and its correction and its judge if any."""
        for each in self.told.predictions:
            refuse_unknown(each.place("trial"), (each.tool, each.trial), self.names["trials"])
            size = (each.part, each.characteristic)
            refuse_unknown(each.place("characteristic"), size, self.names["characteristics"])
            refuse_unknown(each.place("cavity"), (each.tool, each.part, each.cavity), self.names["cavities"])
            _refuse_half_judged(each)
            if each.judged_in:
                refuse_unknown(each.place("judged_in"), (each.tool, each.judged_in), self.names["trials"])
            if each.feature or each.made_at:
                correction = (each.tool, each.trial, each.feature, each.cavity, str(each.made_at))
                refuse_unknown(each.place("made_at"), correction, self.names["corrections"])

    def _part_of(self, feature: Names, row: Row) -> str:
        """The part that a feature forms."""
        refuse_unknown(row.place("tool"), feature[:1], self.names["tools"])
        refuse_unknown(row.place("feature"), feature, self.part_of_feature.keys())
        return self.part_of_feature[feature]


def _refuse_impossible_limits(size: CharacteristicRow) -> None:
    if size.lower is None and size.upper is None:
        raise size.place("lower").refuse("no limit", "give lower, upper or both")
    if size.lower is not None and size.upper is not None and size.lower >= size.upper:
        what = f"{size.lower!r} is not below upper {size.upper!r}"
        raise size.place("lower").refuse(what, "write the smaller limit under lower")
    if size.unit not in UNITS and size.kind != SizeKind.OTHER:
        what = f"{size.unit!r} is none of: {', '.join(UNITS)}"
        raise size.place("unit").refuse(what, "convert nominal and limits, or give the kind other")


def _refuse_half_cut(correction: CorrectionRow) -> None:
    if (correction.status == CorrectionStatus.CUT) != bool(correction.resulting_state):
        what = f"status {correction.status!r} with resulting_state {correction.resulting_state!r}"
        remedy = "a correction that was cut names the state it led to, and only then"
        raise correction.place("status").refuse(what, remedy)


def _refuse_half_judged(prediction: PredictionRow) -> None:
    if not prediction.low <= prediction.mean <= prediction.high:
        what = f"{prediction.mean!r} is not from low {prediction.low!r} to high {prediction.high!r}"
        raise prediction.place("mean").refuse(what, "leave predictions as they were dumped")
    if bool(prediction.judged_in) != bool(prediction.outcome):
        what = f"outcome {prediction.outcome!r} with judged_in {prediction.judged_in!r}"
        raise prediction.place("outcome").refuse(what, "give both or neither")
