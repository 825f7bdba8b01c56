"""The small invented otter with a line, a pilot, and what its release rests on."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tests.exchange.programme.otter import change
from tests.exchange.programme.planned_otter import write_planned_otter

COUNTS = b"station,tried,good first\nwelder,100,90\n"
PAPER = b"Drop D-07: whole.\n"
TORQUES = b"piece,torque,held\n1,0.46,yes\n"


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _sheet(kind: str) -> str:
    file = f"counts.csv,counts.csv,{_sha256(COUNTS)}"
    return f"otter line,P1,{kind},1,2026-03-27,,{file},2026-03-27T16:00:00Z,Ada,"


FILES = {
    "lines.csv": """\
name,planned_per_h,people,hours_per_day,quantity,starts_on,piece_cost,minute_cost,planned_first_yield,\
planned_final_yield,learning_low,learning_high,two_sided,note
otter line,150,3,9.5,60000,2026-05-18,2.1,0.1,0.92,0.98,0.85,0.95,,
""",
    "line_equipment.csv": "in_line,name,at_most\notter line,welder,2\notter line,booth,\n",
    "line_stations.csv": """\
in_line,number,name,people,two_sided,places,cure_s,fails,rework_to,rounds,works_s,stands_s,fixtures,learning,\
made_before,has
otter line,1,welding,1,,6,,0.01,,,5400,150,1,,,welder; booth
otter line,2,,2,yes,,1200,,1,1,,,,0.9,400,
""",
    "line_tasks.csv": """\
in_line,ordinal,name,title,time_s,spread_s,readings,side,after,needs,together,apart,part,joint,seam,fixed_station,\
placed_at
otter line,,weld,weld the halves,16.5,1.2,10,,,welder,,,body,,torso,1,1
otter line,1,look,look at the seam,6,,,either,weld,,weld,,,,,,1
otter line,2,turn,turn the legs,10,1,10,left,look; weld,,,weld,,hip,,,2
""",
    "line_breaks.csv": "in_line,station,begins_h,ends_h,people\notter line,,2,2.25,\notter line,1,4,4.5,0\n",
    "line_presses.csv": """\
in_line,tool,press,cycle_s,cycle_spread_s,rejects,works_s,stands_s,task
otter line,M1,P3,30,0.4,0.02,,,weld
""",
    "pilots.csv": "in_line,name,ran_on,pieces,hours,people,note\notter line,P1,2026-03-27,400,4,3,\n",
    "pilot_trials.csv": "in_line,pilot,tool,trial\notter line,P1,M1,T1\n",
    "pilot_files.csv": "in_line,pilot,kind,name,done_on,note,file,file_name,sha256,read_at,read_by,"
    "set_aside\n" + "".join(f"{_sheet(kind)}\n" for kind in ("counts", "defects", "times", "audits")),
    "pilot_counts.csv": """\
in_line,pilot,sheet,hour,row,column,station,station_text,tried,good_first,reworked_good,scrapped
otter line,P1,1,1,2,,1,welder,100,90,6,4
""",
    "pilot_defects.csv": """\
in_line,pilot,sheet,hour,row,column,station,defect,count,scrapped,rework_minutes
otter line,P1,1,,2,,1,flash,10,4,0.5
""",
    "pilot_times.csv": """\
in_line,pilot,sheet,hour,row,column,station,task,time_s,operator
otter line,P1,1,1,2,,1,weld,17.5,Bo
""",
    "pilot_audits.csv": """\
in_line,pilot,sheet,hour,row,column,seam,joint,value,unit
otter line,P1,1,1,2,,torso,,310,N
""",
    "release_lines.csv": """\
code,title,asks,fed_by,stale_by,stale_after_days,source,not_asked
scarf,Scarf,it does not run,decoration checks,paint; steel,365,the customer,
""",
    "evidence.csv": f"""\
code,says,tested_on,lab,number,accredited,note,file,file_name,sha256,given_at,given_by,set_aside
packaging,holds,2026-03-19,packing room,D-07,no,,drop.txt,drop.txt,{_sha256(PAPER)},2026-03-20T17:00:00Z,Ada,
scarf,does not hold,2026-03-18,,,,,,,,2026-03-20T17:01:00Z,Ada,
""",
    "evidence_states.csv": "code,given_at,tool,state\npackaging,2026-03-20T17:00:00Z,M1,a\n",
    "toy_tests.csv": f"""\
name,market,test,done_on,note,file,file_name,sha256,read_at,read_by,set_aside
legs turned,US,torque,2026-03-19,,torques.csv,torques.csv,{_sha256(TORQUES)},2026-03-20T17:00:00Z,Ada,
""",
    "toy_test_pieces.csv": """\
run,piece,part,value,unit,drops,height_m,held,came_off_mm,row
legs turned,1,body,0.46,N·m,,,yes,,2
""",
    "changes.csv": """\
what,on,words,tool,part,joint,seam,told_at,told_by,set_aside
mask,2026-03-17,new mask,M1,body,hip,torso,2026-03-17T15:00:00Z,Ada,
""",
    "concessions.csv": """\
code,item,amount,until,pieces,reason,risk,approved_by,given_on,closed_on,closed_because
sizes,"body 1, cavity 2",0.05 mm,2026-06-30,,not seen,,Ada,2026-03-18,,
""",
    "limit_samples.csv": """\
sample,kind,area,in_line,station,accepts,signed_by,signed_on,valid_until,withdrawn
S1,limit,ear,otter line,2,a stub of 0.3 mm,Ada,2026-04-02,2027-04-02,
""",
    "signatures.csv": f"""\
role,person,states,signed_at,fingerprint,stood,note,withdrawn,withdrawn_at
tooling,Ada,released with its concessions,2026-04-03T09:00:00Z,{"a" * 64},,,,
""",
    "step_days.csv": "step,low_days,high_days\ncut,8,12\n",
}
FOR_WHOM = """\
markets = "EU, US"
from_months = 36
to_months = 96
mass_kg = 0.058
release_due = 2026-05-15
"""


def write_piloted_otter(folder: Path) -> Path:
    """The whole folder."""
    write_planned_otter(folder)
    change(folder, "programme.toml", 'currency = "USD"\n', f'currency = "USD"\n{FOR_WHOM}')
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")
    for name, content in (
        ("pilot_files/counts.csv", COUNTS),
        ("evidence/drop.txt", PAPER),
        ("toy_tests/torques.csv", TORQUES),
    ):
        (folder / name).parent.mkdir()
        (folder / name).write_bytes(content)
    return folder
