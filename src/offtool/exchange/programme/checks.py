"""What must hold between the tables of a folder: names that are there, and only once; limits in order."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import fields
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.names import readings_file_names
from offtool.exchange.programme.readings import FOLDER as READINGS
from offtool.exchange.programme.readings import TrialReadings
from offtool.exchange.programme.refused import Place, nearest
from offtool.exchange.programme.rows import CharacteristicRow, CorrectionRow, PredictionRow, Row
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


def _refuse_twice(rows: Iterable[Row]) -> None:
    seen: dict[Names, int] = {}
    for row in rows:
        if row.key and row.names in seen:
            what = f"{' '.join(row.names)} stands on line {seen[row.names]} already"
            raise row.place(", ".join(row.key)).refuse(what, "keep one of them")
        seen[row.names] = row.line


def _known(place: Place, name: Names, known: Collection[Names]) -> None:
    """Raise FolderRefused unless the name is known; the nearest is sought among those of the same owner."""
    if name not in known:
        owner = f" of {' '.join(name[:-1])}" if name[:-1] else ""
        beside = [other[-1] for other in known if other[:-1] == name[:-1]]
        raise place.refuse(f"there is no {name[-1]!r}{owner}", nearest(name[-1], beside))


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
            _known(part.place("resin"), (part.resin,), self.names["resins"])
        for size in self.told.characteristics:
            _known(size.place("part"), (size.part,), self.names["parts"])
            if size.gauge:
                _known(size.place("gauge"), (size.gauge,), self.names["gauges"])
            _refuse_impossible_limits(size)

    def tools(self) -> None:
        """Cavities name their part, trials their state; no two states stand in one place."""
        for cavity in self.told.cavities:
            _known(cavity.place("part"), (cavity.part,), self.names["parts"])
        labels: dict[tuple[str, int], str] = {}
        for state in self.told.states:
            first = labels.setdefault((state.tool, state.ordinal), state.label)
            if first != state.label:
                what = f"{state.ordinal} is the place of state {first!r}"
                raise state.place("ordinal").refuse(what, "count states in order of time")
        for trial in self.told.trials:
            _known(trial.place("tool"), (trial.tool,), self.names["tools"])
            _known(trial.place("state"), (trial.tool, trial.state), self.names["states"])

    def steel(self) -> None:
        """Features, what they move, and steel sizes belong together; a size is formed once."""
        for feature in self.told.features:
            _known(feature.place("tool"), (feature.tool,), self.names["tools"])
            _known(feature.place("part"), (feature.part,), self.names["parts"])
            if feature.size_change_per_mm == 0:
                what = "0: removing steel always changes the steel size"
                raise feature.place("size_change_per_mm").refuse(what, "give 1, -1, 2 or -2")
        formed: dict[Names, str] = {}
        for move in self.told.moves:
            part = self._part_of((move.tool, move.feature), move)
            size = (part, move.characteristic)
            _known(move.place("characteristic"), size, self.names["characteristics"])
            if move.factor == 0:
                raise move.place("factor").refuse("0: the feature moves nothing", "take the row out")
            if move.forms and formed.setdefault(size, move.feature) != move.feature:
                what = f"characteristic {move.characteristic} of {part} is formed by {formed[size]} already"
                raise move.place("forms").refuse(what, "say yes for one feature only")
        for steel in self.told.steel_sizes:
            part = self._part_of((steel.tool, steel.feature), steel)
            _known(steel.place("cavity"), (steel.tool, part, steel.cavity), self.names["cavities"])
            _known(steel.place("state"), (steel.tool, steel.state), self.names["states"])

    def sources(self) -> None:
        """Every source file has its trial and its readings, and no two have the same bytes."""
        first: dict[str, str] = {}
        for source in self.told.sources:
            _known(source.place("tool"), (source.tool,), self.names["tools"])
            _known(source.place("trial"), (source.tool, source.trial), self.names["trials"])
            if first.setdefault(source.sha256, source.file) != source.file:
                what = f"it has the same bytes as {first[source.sha256]}"
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
            _known(place("part_code", chosen), (part,), self.names["parts"])
            _known(place("characteristic", chosen), (part, number), self.names["characteristics"])
            if (tool, part) not in self.made:
                remedy = f"give {part} its cavities under [tool.cavities], or put the readings to their tool"
                raise place("part_code", chosen).refuse(f"tool {tool} makes no part {part}", remedy)
        for index, (part, label) in enumerate(readings.cavities):
            _known(place("cavity", readings.cavity == index), (tool, part, label), self.names["cavities"])
        listed = {(each.file,) for each in self.told.sources if (each.tool, each.trial) == (tool, trial)}
        for index, file in enumerate(readings.files):
            _known(place("file", readings.file == index), (file,), listed)

    def corrections(self) -> None:
        """A correction names its trial, feature and cavity; one that was cut names the state it led to."""
        for each in self.told.corrections:
            _known(each.place("trial"), (each.tool, each.trial), self.names["trials"])
            part = self._part_of((each.tool, each.feature), each)
            _known(each.place("cavity"), (each.tool, part, each.cavity), self.names["cavities"])
            if each.amount_mm == 0:
                raise each.place("amount_mm").refuse("0: no steel is changed", "take the row out")
            _refuse_half_cut(each)
            if each.resulting_state:
                state = (each.tool, each.resulting_state)
                _known(each.place("resulting_state"), state, self.names["states"])

    def predictions(self) -> None:
        """A prediction names trial, characteristic, cavity, and its correction and its judge if any."""
        for each in self.told.predictions:
            _known(each.place("trial"), (each.tool, each.trial), self.names["trials"])
            size = (each.part, each.characteristic)
            _known(each.place("characteristic"), size, self.names["characteristics"])
            _known(each.place("cavity"), (each.tool, each.part, each.cavity), self.names["cavities"])
            _refuse_half_judged(each)
            if each.judged_in:
                _known(each.place("judged_in"), (each.tool, each.judged_in), self.names["trials"])
            if each.feature or each.made_at:
                correction = (each.tool, each.trial, each.feature, each.cavity, str(each.made_at))
                _known(each.place("made_at"), correction, self.names["corrections"])

    def _part_of(self, feature: Names, row: Row) -> str:
        """The part that a feature forms."""
        _known(row.place("tool"), feature[:1], self.names["tools"])
        _known(row.place("feature"), feature, self.part_of_feature.keys())
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
