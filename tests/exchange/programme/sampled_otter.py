"""The small invented otter with presses, jobs, a build, details, and one sample that was looked at."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tests.exchange.programme.joined_otter import write_joined_otter
from tests.exchange.programme.otter import change

BACK = b"\x89PNG\r\n\x1a\n an invented picture of a back"

RUN = """\
shot_on = 2026-03-02
stage = "early trial"
ended_on = 2026-03-03
pieces = 40
lightness = 55.5
a = 2
b = -30
colour_spread_de = 0.8
interrupted_press = "P3"
interrupted_job = "J-17"
"""

FILES = {
    "presses.csv": "code,name,note\nP3,80 t,\nP4,,by the door\n",
    "press_holds.csv": "press,tool\nP3,M1\n",
    "jobs.csv": """\
press,code,product,what,colour,lightness,a,b,spread_de,illuminant,observer,begins,ends,note
P3,J-17,wheelbarrow,wheel,blue,55,2,-30,,,,2026-02-23,2026-03-06,
P4,J-18,bucket,,grey,,,,1.5,D50,2,2026-03-01,,
""",
    "builds.csv": "code,stage,built_on,pieces,note\nEP1,engineering build,2026-03-10,12,by hand\n",
    "build_parts.csv": "build,tool,trial\nEP1,M1,T1\n",
    "details.csv": """\
part,code,name,kind,where,note
body,date,date mark,,inside the foot,
body,insert,,comes and goes,,
""",
    "detail_states.csv": """\
part,detail,tool,state,is_there
body,date,M1,a,no
body,date,M1,b,yes
""",
    "stage_names.csv": "stage,engineer,archive,kept\nfirst shots,T0,,0.2\n",
    "sign_shares.csv": "sign,outcome,stage,share\nseam,welded,first shots,0\n",
    "samples.csv": """\
number,name,build,found_on,lies_in,holder,purpose,disposition,note,registered_at,registered_by
S1,otter without paint,EP1,2026-04-01,drawer 3,Ada,limit sample,keep,,2026-04-02T09:00:00Z,Ada
S2,,,,,,,,,2026-04-02T09:00:00Z,
""",
    "sample_parts.csv": """\
sample,label,part,tool,state,cavity,trial,shot,colour,note
S1,torso,body,M1,a,2,T1,14,blue,
S1,left arm,limb,,,,,,,
""",
    "seen_details.csv": """\
sample,sample_part,detail,is_there,is_sure,seen_at,seen_by,note,set_aside
S1,torso,date,no,,2026-04-02T10:00:00Z,Ada,,
S1,torso,insert,yes,no,2026-04-02T10:00:00Z,Ada,worn,
""",
    "seen_signs.csv": """\
sample,sample_part,sign,outcome,is_sure,seen_at,seen_by,note,set_aside
S1,,seam,loose parts,,2026-04-02T10:00:00Z,Ada,,
S1,torso,paint,none,,2026-04-02T10:00:00Z,Ada,,it was washed
""",
    "sample_sizes.csv": """\
sample,sample_part,characteristic,value,uncertainty,repeat,seen_at,seen_by,note,set_aside
S1,torso,1,4.03,0.005,,2026-04-02T10:00:00Z,Ada,,
S1,torso,1,4.035,,2,2026-04-02T10:00:00Z,Ada,,
""",
    "sample_colours.csv": """\
sample,sample_part,colour_place,lightness,a,b,uncertainty_de,by,illuminant,observer,clipped_share,repeat,seen_at,\
seen_by,note,set_aside
S1,torso,back,55.2,2.1,-29.5,0.4,instrument,,,,,2026-04-02T10:00:00Z,Ada,,
""",
    "sample_photographs.csv": f"""\
sample,sample_part,file,name,sha256,media_type,width,height,note,added_at,added_by
S1,torso,back.png,back.png,{hashlib.sha256(BACK).hexdigest()},image/png,40,30,,2026-04-02T11:00:00Z,Ada
""",
}


def write_sampled_otter(folder: Path) -> Path:
    """The whole folder."""
    write_joined_otter(folder)
    change(folder, "programme.toml", "shot_on = 2026-03-02\n", RUN)
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    (folder / "sample_photographs").mkdir()
    (folder / "sample_photographs" / "back.png").write_bytes(BACK)
    return folder
