"""The small invented otter with what was seen at the press, a gauge study, and a reading left out."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tests.exchange.programme.otter import change, write_otter

PICTURE = b"\x89PNG\r\n\x1a\n an invented picture of a short ear"
STUDY = b"part;operator;1;2\nA;Ada;4,01;4,02\n"

FILES = {
    "defects.csv": """\
code,name,meaning,weight_class,is_listed
short,short shot,the ear is not filled,critical,yes
flash,flash,,,no
""",
    "looks.csv": """\
tool,trial,number,part,cavity,shot_number,pieces,note,looked_at,looked_by,set_aside
M1,T1,1,body,1,4,5,,2026-03-02T10:00:00Z,Ada,
M1,T1,2,,,,20,a box of all,2026-03-02T11:00:00Z,Ada,
""",
    "flaws.csv": """\
tool,trial,look,defect,flaw_place,pieces,note
M1,T1,1,short,left ear,2,half filled
M1,T1,1,flash,,5,
""",
    "photographs.csv": f"""\
tool,trial,look,defect,flaw_place,file,name,sha256,media_type,width,height,note
M1,T1,1,short,left ear,ear.png,ear.png,{hashlib.sha256(PICTURE).hexdigest()},image/png,40,30,the ear
""",
    "gauge_studies.csv": f"""\
gauge,name,kind,part,characteristic,tolerance,reference_uncertainty,done_on,note,file,file_name,sha256,read_at,\
read_by,set_aside
PG,S1,crossed,body,1,,,2026-02-27,,S1.csv,S1.csv,{hashlib.sha256(STUDY).hexdigest()},2026-02-27T16:00:00Z,Ada,
""",
    "gauge_readings.csv": """\
gauge,study,part,operator,repeat,reference,value,row,column
PG,S1,A,Ada,1,,4.01,2,3
PG,S1,A,Ada,2,4.0,4.02,2,4
""",
    "exclusions.csv": """\
file,row,column,is_left_out,reason,made_at,made_by
T1.csv,2,1,yes,it fell,2026-03-04T08:00:00Z,Ada
T1.csv,2,1,no,it was another part,2026-03-04T08:30:00Z,Bo
T1.csv,3,1,yes,a crack,2026-03-04T08:00:00Z,Ada
""",
}


def write_inspected_otter(folder: Path) -> Path:
    """The whole folder, with the times of the trial."""
    write_otter(folder)
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    for name, content in (("photographs/ear.png", PICTURE), ("gauge_studies/S1.csv", STUDY)):
        (folder / name).parent.mkdir()
        (folder / name).write_bytes(content)
    times = """\
moulded_at = 2026-03-02T10:00:00+01:00
measured_at = 2026-03-03T10:30:00+01:00
settled_from = 1
settled_reason = "the heater was on"
"""
    change(folder, "programme.toml", "age_h = 24\n", times)
    return folder
