"""The small invented otter with joints and seams: sizes, a test, a weld study, and what a joint asks."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tests.exchange.programme.inspected_otter import write_inspected_otter
from tests.exchange.programme.otter import change

TORQUES = b"piece;N m\nP1;0.043\nP2;0.051\n"
WELDS = b"piece;s;N\nA;0.4;110\n"

TOML = """
[[joint]]
code = "hip"
name = "hip joint"
kind = "peg in socket"
lower = 0.02
upper = 0.1
limb_mass_g = 1.4
lever_mm = 17
friction_low = 0.2
friction_high = 0.4

[joint.sizes]
peg_diameter = "limb 1"
socket_bore = "body 1"
socket_outer = 7.2
contact_length = { value = 4.0, plus_minus = 0.05 }

[[joint]]
code = "stack"
kind = "chain of sizes"
lower = 0.1

[joint.sizes]
"back wall" = { size = "body 2", factor = -1 }
room = 30.4

[[joint]]
code = "tail"
kind = "loop of sizes"
lower = 0.1

[joint.sizes]
arm = { size = "body 2", angle_deg = 0 }
lean = { part = "limb", characteristic = "2" }
strut = { value = 12, plus_minus = 0.1, angle_role = "lean" }
gap = { angle_deg = 90 }

[[seam]]
code = "torso"
kind = "ridge"
top_part = "body"
bottom_part = "limb"
required_n = 90
frequency_khz = 20
converter_um = 20

[seam.sizes]
joint_width = 1.2
seam_length = 84
ridge_height = { value = 0.4, plus_minus = 0.03 }
"""

FILES = {
    "joint_tests.csv": f"""\
joint,name,gauge,inner_tool,inner_trial,outer_tool,outer_trial,done_on,note,file,file_name,sha256,read_at,read_by,\
set_aside
hip,J1,PG,M1,T1,M1,T1,2026-03-05,,J1.csv,J1.csv,{hashlib.sha256(TORQUES).hexdigest()},2026-03-05T16:00:00Z,Ada,
""",
    "joint_readings.csv": """\
joint,test,piece,inner_tool,inner_part,inner_cavity,outer_tool,outer_part,outer_cavity,what,condition,hours,cycles,\
operator,repeat,value,row,column
hip,J1,P1,M1,limb,1,M1,body,1,breakaway torque,fresh,24,5,Ada,1,0.043,2,2
hip,J1,P2,,,,M1,body,2,breakaway torque,aged,,,,,0.051,3,2
""",
    "joint_demands.csv": """\
joint,part,characteristic,target,lower,upper,reason,made_at,made_by,dropped
hip,limb,1,4.045,4.02,4.07,loose in every pair,2026-03-06T09:00:00Z,Ada,
hip,body,1,3.98,,,loose in every pair,2026-03-06T09:00:00Z,Ada,the peg is moved instead
""",
    "weld_studies.csv": f"""\
seam,name,gauge,top_tool,top_trial,bottom_tool,bottom_trial,done_on,note,file,file_name,sha256,read_at,read_by,\
set_aside
torso,W1,,M1,T1,,,2026-03-05,,W1.csv,W1.csv,{hashlib.sha256(WELDS).hexdigest()},2026-03-05T17:00:00Z,Ada,
""",
    "weld_runs.csv": """\
seam,study,piece,top_tool,top_cavity,bottom_tool,bottom_cavity,time_s,pressure_bar,amplitude_um,hold_s,energy_j,\
collapse_mm,strength_n,failure,height_mm,flash_mm,appearance,ridge,row
torso,W1,A,M1,1,M1,1,0.4,2.5,50,0.5,110,0.3,110,material torn,30.2,0.1,good,melted,2
torso,W1,B,,,,,0.3,2.5,50,,,,,,,,,,3
""",
}


def write_joined_otter(folder: Path) -> Path:
    """The whole folder, with a second part that the tool makes too."""
    write_inspected_otter(folder)
    change(folder, "programme.toml", "[[gauge]]", '[[part]]\ncode = "limb"\nresin = "ABS"\n\n[[gauge]]')
    change(folder, "programme.toml", "body = [1, 2]", "body = [1, 2]\nlimb = [1]")
    with (folder / "programme.toml").open("a", encoding="utf-8") as out:
        out.write(TOML)
    with (folder / "characteristics.csv").open("a", encoding="utf-8") as out:
        out.write("limb,1,hip peg,diameter,mm,4.0,3.95,4.05,,,PG\nlimb,2,lean,angle,deg,45,44,46,,,\n")
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    for name, content in (("joint_tests/J1.csv", TORQUES), ("weld_studies/W1.csv", WELDS)):
        (folder / name).parent.mkdir()
        (folder / name).write_bytes(content)
    return folder
