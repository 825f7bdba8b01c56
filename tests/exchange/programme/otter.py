"""A small invented programme folder as people write it, for tests that change one thing in it."""

from __future__ import annotations

import hashlib
from pathlib import Path

ORIGINAL = b"bore;cavity;shot\n4,03;1;1\n4,04;2;1\n"

TOML = """\
[programme]
slug = "otter"
title = "Invented otter"

[[resin]]
code = "ABS"
flow_pct = 0.5
cross_pct = 0.6
thickness_pct = 0.4

[[part]]
code = "body"
resin = "ABS"

[[gauge]]
code = "PG"
name = "pin gauge"
resolution = 0.001
uncertainty = 0.002

[[tool]]
code = "M1"

[tool.cavities]
body = [1, 2]

[[tool.state]]
label = "a"
made_on = 2026-02-20

[[tool.state]]
label = "b"

[[trial]]
tool = "M1"
name = "T1"
state = "a"
shot_on = 2026-03-02
age_h = 24
"""

FILES = {
    "programme.toml": TOML,
    "characteristics.csv": """\
part,number,name,kind,unit,nominal,lower,upper,direction,weight_class,gauge
body,1,hip bore,diameter,mm,4.0,3.95,4.05,cross,critical,PG
body,2,height,length,mm,30,29.9,30.1,,,
""",
    "steel.csv": """\
tool,code,name,part,half,stated,size_change_per_mm,drawn_mm,can_add
M1,CP1,hip core pin,body,core half,per side,-2,4.02,yes
""",
    "moves.csv": "tool,feature,characteristic,factor,forms\nM1,CP1,1,-2,yes\n",
    "steel_sizes.csv": """\
tool,feature,cavity,state,measured_mm,uncertainty_mm,allowance_mm
M1,CP1,1,a,4.06,0.002,0.05
M1,CP1,2,a,4.061,,0.05
""",
    "sources.csv": f"""\
tool,trial,file,name,sha256,layout,read_options,repairs,left_out,read_at,read_by
M1,T1,T1.csv,T1.csv,{hashlib.sha256(ORIGINAL).hexdigest()},long,{{}},[],[],2026-03-03T08:00:00+01:00,Ada
""",
    "readings/M1_T1.csv": """\
part_code,characteristic,cavity,shot,part,value,file,row,column
body,1,1,1,,4.03,T1.csv,2,1
body,1,2,1,,4.04,T1.csv,3,1
""",
    "corrections.csv": """\
tool,trial,feature,cavity,amount_mm,size_before_mm,size_after_mm,allowance_left_mm,reason,cause,method,inputs,\
status,made_at,made_by,resulting_state
M1,T1,CP1,1,0.02,4.06,4.02,0.03,bore too large,steel left on purpose,direct,{},cut,2026-03-04T09:00:00Z,Ada,b
""",
    "predictions.csv": """\
tool,trial,part,characteristic,cavity,mean,low,high,confidence,sd,feature,made_at,judged_in,outcome
M1,T1,body,1,1,4,3.98,4.02,0.8,0.01,CP1,2026-03-04T09:00:00Z,,
""",
}


def write_otter(folder: Path) -> Path:
    """The whole folder."""
    (folder / "readings").mkdir(parents=True)
    (folder / "originals").mkdir()
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    (folder / "originals" / "T1.csv").write_bytes(ORIGINAL)
    return folder


def change(folder: Path, file: str, old: str, new: str) -> None:
    """Change one thing in one file; it must be there."""
    text = (folder / file).read_text(encoding="utf-8")
    assert old in text
    (folder / file).write_text(text.replace(old, new, 1), encoding="utf-8", newline="")
