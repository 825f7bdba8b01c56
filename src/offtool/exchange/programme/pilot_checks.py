"""What must hold between pilots, their sheets, and the rest of the folder."""

from __future__ import annotations

from offtool.exchange.programme.folder import ProgrammeFolder
from offtool.exchange.programme.line_checks import All, refuse_no_station
from offtool.exchange.programme.pilot_rows import OnSheetRow, PilotCountRow, PilotDefectRow
from offtool.exchange.programme.refused import refuse_unknown


def check_pilots(told: ProgrammeFolder, names: All) -> None:
    """Raise FolderRefused for the first thing that does not hold; `names` are those of every table."""
    for pilot in told.pilots:
        refuse_unknown(pilot.place("in_line"), (pilot.in_line,), names["lines"])
    for run in told.pilot_trials:
        refuse_unknown(run.place("pilot"), (run.in_line, run.pilot), names["pilots"])
        refuse_unknown(run.place("tool"), (run.tool,), names["tools"])
        refuse_unknown(run.place("trial"), (run.tool, run.trial), names["trials"])
    _sheets(told, names)
    for count in told.pilot_counts:
        refuse_no_station(count, count.in_line, count.station, names, "station")
        _refuse_too_many(count)
    for defect in told.pilot_defects:
        refuse_no_station(defect, defect.in_line, defect.station, names, "station")
        _refuse_more_scrapped(defect)
    for timed in told.pilot_times:
        refuse_no_station(timed, timed.in_line, timed.station, names, "station")
        if timed.task:
            refuse_unknown(timed.place("task"), (timed.in_line, timed.task), names["line_tasks"])
    for audit in told.pilot_audits:
        if bool(audit.seam) == bool(audit.joint):
            what = f"seam {audit.seam!r} and joint {audit.joint!r}"
            raise audit.place("joint").refuse(what, "an audit is of a seam or of a joint: give one of both")
        column, table = ("seam", "seams") if audit.seam else ("joint", "joints")
        refuse_unknown(audit.place(column), (getattr(audit, column),), names[table])


def _sheets(told: ProgrammeFolder, names: All) -> None:
    """A sheet names its pilot and has rows; a row names its sheet."""
    rows: tuple[OnSheetRow, ...] = (
        *told.pilot_counts,
        *told.pilot_defects,
        *told.pilot_times,
        *told.pilot_audits,
    )
    for row in rows:
        sheet = (row.in_line, row.pilot, row.kind, row.sheet)
        refuse_unknown(row.place("sheet"), sheet, names["pilot_files"])
    filled = {(row.in_line, row.pilot, row.kind, row.sheet) for row in rows}
    for file in told.pilot_files:
        refuse_unknown(file.place("pilot"), (file.in_line, file.pilot), names["pilots"])
        if file.names not in filled:
            what = f"sheet of {file.kind} {file.name!r} has no rows"
            raise file.place("name").refuse(what, "give its rows, or take the row out")


def _refuse_too_many(count: PilotCountRow) -> None:
    told = count.good_first + count.reworked_good + (count.scrapped or 0)
    if told > count.tried:
        what = f"{count.tried} were tried, but good, reworked and scrapped are {told}"
        raise count.place("tried").refuse(what, "look at the four numbers")


def _refuse_more_scrapped(defect: PilotDefectRow) -> None:
    if defect.scrapped is not None and defect.scrapped > defect.count:
        what = f"{defect.scrapped} were scrapped, but {defect.count} had the defect"
        raise defect.place("scrapped").refuse(what, "look at the two numbers")
