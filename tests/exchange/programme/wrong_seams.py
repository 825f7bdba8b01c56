"""One wrong thing at a time in seams and weld studies, as in `wrong.py`."""

from __future__ import annotations

BETWEEN = "required_n = 90\nfrequency_khz = 20\nconverter_um = 20\n\n[seam.sizes]\n"
"""What stands between the parts of the seam and its first size."""
WRONG = [
    # what a seam is made of
    (
        "programme.toml",
        'kind = "ridge"',
        'kind = "rigde"',
        "programme.toml line 88, seam.kind: 'rigde' is none of: ridge, step, tongue and groove, shear",
    ),
    (
        "programme.toml",
        'kind = "ridge"',
        'kind = "shear joint"',
        "programme.toml line 96, joint_width: a shear joint has no size 'joint_width'; known are:",
    ),
    (
        "programme.toml",
        'top_part = "body"',
        'top_part = "bodi"',
        "programme.toml line 86, top_part: there is no 'bodi'; did you mean 'body'?",
    ),
    (
        "programme.toml",
        'bottom_part = "limb"',
        'bottom_part = "torso"',
        "programme.toml line 86, bottom_part: there is no 'torso'; known are: body, limb",
    ),
    (
        "programme.toml",
        'bottom_part = "limb"\n',
        "",
        "programme.toml line 86, seam.bottom_part: must be given; add it",
    ),
    (
        "programme.toml",
        "required_n = 90",
        "required_n = 0",
        "programme.toml line 91, seam.required_n: 0 N must be above 0; correct it",
    ),
    (
        "programme.toml",
        "converter_um = 20",
        "amplitude_pct = 120",
        "programme.toml line 93, seam.amplitude_pct: 120 % must be at most 100; correct it",
    ),
    (
        "programme.toml",
        "seam_length = 84\n",
        "",
        "programme.toml line 86, sizes: a ridge needs seam_length: length of the seam, all round; add",
    ),
    (
        "programme.toml",
        "seam_length = 84",
        "seam_lenght = 84",
        "programme.toml line 97, seam_lenght: a ridge has no size 'seam_lenght'; did you mean",
    ),
    (
        "programme.toml",
        "joint_width = 1.2",
        'joint_width = "limb 2"',
        "programme.toml line 96, joint_width: limb 2 is in deg, and joint_width is in mm; name a size",
    ),
    (
        "programme.toml",
        "joint_width = 1.2",
        'joint_width = "limb 3"',
        "programme.toml line 96, joint_width: there is no '3' of limb; known are: 1, 2",
    ),
    (
        "programme.toml",
        "joint_width = 1.2",
        "joint_width = {}",
        'programme.toml line 96, joint_width: it says no size; write "part number", or a number',
    ),
    (
        "programme.toml",
        "joint_width = 1.2",
        "joint_width = { value = 1.2, factor = 1 }",
        "programme.toml line 96, seam.sizes.joint_width.factor: unknown key 'factor'; known are:",
    ),
    (
        "programme.toml",
        'code = "torso"',
        'code = "new"',
        "programme.toml line 86, code: no seam can be called new; give another short name",
    ),
    (
        "programme.toml",
        "seam_length = 84",
        "seam_length = -84",
        "programme.toml line 97, seam_length: -84 mm is no length of the seam, all round; give a number",
    ),
    (
        "programme.toml",
        f'bottom_part = "limb"\n{BETWEEN}joint_width = 1.2',
        f'bottom_part = "body"\n{BETWEEN}joint_width = "limb 1"',
        "programme.toml line 96, joint_width: limb 1 is no size of body or body; name a size of one of the",
    ),
    # what was welded
    (
        "weld_studies.csv",
        "torso,W1",
        "tosro,W1",
        "weld_studies.csv line 2, seam: there is no 'tosro'; did you mean 'torso'?",
    ),
    (
        "weld_studies.csv",
        "torso,W1",
        "torso,W2",
        "weld_studies.csv line 2, name: 'W2' has no runs; give its runs, or take the row out",
    ),
    (
        "weld_studies.csv",
        "W1,,M1",
        "W1,PX,M1",
        "weld_studies.csv line 2, gauge: there is no 'PX'; known are: PG",
    ),
    (
        "weld_studies.csv",
        "M1,T1,,",
        "M1,T1,M1,",
        "weld_studies.csv line 2, bottom_trial: trial '' with tool 'M1'; give both or neither: trials",
    ),
    (
        "weld_studies.csv",
        "W1.csv,W1.csv",
        "../W1.csv,W1.csv",
        "weld_studies/W1.csv: it is not listed in weld_studies.csv; read it into the record as a weld",
    ),
    (
        "weld_runs.csv",
        "torso,W1,A",
        "trunk,W1,A",
        "weld_runs.csv line 2, seam: there is no 'trunk'; known are: torso",
    ),
    (
        "weld_runs.csv",
        "torso,W1,A",
        "torso,W2,A",
        "weld_runs.csv line 2, study: there is no 'W2' of torso; known are: W1",
    ),
    (
        "weld_runs.csv",
        "M1,1,M1,1",
        "M1,3,M1,1",
        "weld_runs.csv line 2, top_cavity: there is no '3' of M1 body; known are: 1, 2",
    ),
    (
        "weld_runs.csv",
        "M1,1,M1,1",
        "M1,1,M1,2",
        "weld_runs.csv line 2, bottom_cavity: there is no '2' of M1 limb; known are: 1",
    ),
    (
        "weld_runs.csv",
        "M1,1,M1,1",
        "M1,1,M1,",
        "weld_runs.csv line 2, bottom_cavity: cavity '' with tool 'M1' and part 'limb'; give all of them",
    ),
    (
        "weld_runs.csv",
        "M1,1,M1,1",
        "M2,1,M1,1",
        "weld_runs.csv line 2, top_tool: there is no 'M2'; known are: M1",
    ),
    (
        "weld_runs.csv",
        "0.4,2.5",
        "-0.4,2.5",
        "weld_runs.csv line 2, time_s: -0.4 s must be at least 0; correct it",
    ),
    (
        "weld_runs.csv",
        "material torn",
        "torn",
        "weld_runs.csv line 2, failure: 'torn' is none of: material torn, peeled clean, held; known are:",
    ),
    (
        "weld_runs.csv",
        "good,melted",
        "fine,melted",
        "weld_runs.csv line 2, appearance: 'fine' is none of: good, bad; known are: bad, good",
    ),
    (
        "weld_runs.csv",
        "good,melted",
        "good,gone",
        "weld_runs.csv line 2, ridge: 'gone' is none of: intact, partly melted, melted; known are:",
    ),
    (
        "weld_runs.csv",
        ",,3\n",
        ",,2\n",
        "weld_runs.csv line 3, seam, study, row: torso W1 2 stands on line 2 already; keep one of them",
    ),
    (
        "weld_runs.csv",
        ",,3\n",
        ",,0\n",
        "weld_runs.csv line 3, row: 0 is not from 1 to 2147483647; correct it",
    ),
]
