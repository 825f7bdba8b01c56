"""The small invented otter with numbers of presses and tools, shapes, colour changes, and trials to come."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tests.exchange.programme.otter import change
from tests.exchange.programme.sampled_otter import write_sampled_otter

SHAPE = b"solid invented\nendsolid invented\n"
SHOTS = b"shot,L,a,b\n1,40,5,5\n2,45,4,4\n"


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


FILES = {
    "press_off.csv": """\
press,begins_at,ends_at,why
P3,2026-03-23T06:00:00Z,2026-03-23T12:00:00Z,new check ring
""",
    "engineers_there.csv": """\
begins_at,ends_at,who
2026-03-24T08:00:00Z,2026-03-24T17:00:00Z,Ada
2026-03-24T08:00:00Z,2026-03-24T12:00:00Z,Bo
""",
    "meshes.csv": f"""\
part,file,file_name,sha256,size,kind,unit,axis_x,axis_y,axis_z,read_at,read_by,note
body,body.stl,body.stl,{_sha256(SHAPE)},{len(SHAPE)},STL,mm,,,,2026-03-20T09:00:00Z,Ada,
""",
    "colour_changes.csv": f"""\
press,name,tool,done_on,from_name,from_lightness,from_a,from_b,to_name,to_lightness,to_a,to_b,illuminant,observer,\
resin,shot_g,purge_kg,note,file,file_name,sha256,read_at,read_by,set_aside
P3,to grey,M1,2026-03-06,blue,55,2,-30,grey,60,0,0,,,ABS,25.5,,,shots.csv,shots.csv,{_sha256(SHOTS)},\
2026-03-07T09:00:00Z,Ada,
""",
    "colour_shots.csv": """\
press,change,number,lightness,a,b,row
P3,to grey,1,40,5,5,2
P3,to grey,2,45,4,4,3
""",
    "trial_requests.csv": """\
tool,name,earliest,due,hours,wish,colour,lightness,a,b,resin,late_per_day,needs_engineer,press,starts_at,asked_by,note
M1,T2,2026-03-23,2026-04-03,,any colour,brown,40,12,18,,250,,,,Ada,
M1,T3,,,2.5,,,,,,,,no,P3,2026-03-30T08:00:00Z,,
""",
    "trial_wants.csv": """\
tool,request,purpose,pieces
M1,T2,sizes,
M1,T2,assembly,40
M1,T3,first look,
""",
}

_TOOL = """\
wide_mm = 296
high_mm = 346.5
thick_mm = 241
opening_mm = 260
ejector_mm = 30
feed = "cold runner"
runner_g = 4.2
runner_cm2 = 6
hot_runner_cm3 = 0
cavity_pressure_mpa = 35
setup_h = 1
"""
TOML = (
    ('title = "Invented otter"\n', 'currency = "USD"\n'),
    ("thickness_pct = 0.4\n", "price_per_kg = 2.4\n"),
    ('[[tool]]\ncode = "M1"\n', _TOOL),
)
"""After what in programme.toml there is more."""

PRESSES = """\
code,name,clamp_kn,barrel_g,screw_mm,tie_bars_wide_mm,tie_bars_high_mm,mould_least_mm,mould_most_mm,opening_mm,\
daylight_mm,ejector_mm,dry_cycle_s,per_hour,works_from_h,works_to_h,workdays,note
P3,80 t,785,113,32,360,360,150,380,320,700,80,1.8,24,6,22,Friday mon Tue Wed Thu,
P4,,,,,,,,,,,,,,,,,by the door
"""


def write_planned_otter(folder: Path) -> Path:
    """The whole folder."""
    write_sampled_otter(folder)
    for old, new in TOML:
        change(folder, "programme.toml", old, f"{old}{new}")
    (folder / "presses.csv").write_text(PRESSES, encoding="utf-8", newline="")
    change(folder, "jobs.csv", "begins,ends,note", "begins,ends,resin,may_stop,margin_per_h,restart_min,note")
    change(folder, "jobs.csv", "2026-03-06,", "2026-03-06,ABS,yes,62,15,")
    change(folder, "jobs.csv", "2026-03-01,,", "2026-03-01,,,,,,")
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    for name, content in (("meshes/body.stl", SHAPE), ("colour_changes/shots.csv", SHOTS)):
        (folder / name).parent.mkdir()
        (folder / name).write_bytes(content)
    return folder
