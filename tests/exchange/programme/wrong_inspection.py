"""One wrong thing at a time in what was seen, studied and left out, as in `wrong.py`."""

from __future__ import annotations

WRONG = [
    (
        "programme.toml",
        "measured_at = 2026-03-03T10:30:00+01:00",
        "measured_at = 2026-03-02T09:59:59+01:00",
        "programme.toml line 34, measured_at: 2026-03-02 08:59:59+00:00 is before moulded_at 2026-03",
    ),
    (
        "programme.toml",
        "moulded_at = 2026-03-02T10:00:00+01:00",
        "moulded_at = 2026-03-02T10:00:00",
        "programme.toml line 39, trial.moulded_at: 2026-03-02 10:00:00 has no offset from UTC; write it like",
    ),
    (
        "programme.toml",
        "moulded_at = 2026-03-02T10:00:00+01:00",
        "moulded_at = 2026-03-02",
        "programme.toml line 39, trial.moulded_at: 2026-03-02 has no offset from UTC",
    ),
    ("programme.toml", '"the heater was on"', "3", "trial.settled_reason: 3 is no text; put it in quotation"),
    # what was seen
    (
        "defects.csv",
        "flash,flash",
        "short,flash",
        "defects.csv line 3, code: short stands on line 2 already; keep one of them",
    ),
    ("defects.csv", "flash,flash", "flash,", "defects.csv line 3, name: must not be empty; fill it in"),
    (
        "defects.csv",
        "critical,yes",
        "crit,yes",
        "defects.csv line 2, weight_class: 'crit' is none of: critical",
    ),
    ("defects.csv", ",,no", ",,0", "defects.csv line 3, is_listed: '0' is neither yes nor no"),
    *(
        (
            "defects.csv",
            "is_listed\nshort,short shot,the ear is not filled,critical,yes\n",
            f"is_listed,list_changes\nshort,short shot,the ear is not filled,critical,yes,{cell}\n",
            f"defects.csv line 2, list_changes: {said}",
        )
        for cell, said in (
            ("yes", "'yes' is no JSON; leave this column as it was dumped"),
            ("[]", "'[]' is no JSON dict; leave it as it was dumped"),
            ('"{""soon"": true}"', "'soon' is no time; write it like 2026-03-31T14:05:00+00:00"),
            ('"{""2026-03-31T14:05:00"": true}"', "2026-03-31 14:05:00 has no offset from UTC"),
            ('"{""2026-03-31T14:05:00Z"": 1}"', "1 is neither true nor false"),
        )
    ),
    ("looks.csv", "M1,T1,1", "M1,T2,1", "looks.csv line 2, trial: there is no 'T2' of M1; known are: T1"),
    ("looks.csv", "M1,T1,1", "M2,T1,1", "looks.csv line 2, tool: there is no 'M2'; known are: M1"),
    (
        "looks.csv",
        "M1,T1,2",
        "M1,T1,1",
        "looks.csv line 3, tool, trial, number: M1 T1 1 stands on line 2 already; keep one of them",
    ),
    ("looks.csv", "M1,T1,1", "M1,T1,0", "looks.csv line 2, number: 0 is not from 1 to 2147483647"),
    (
        "looks.csv",
        "body,1,4",
        "body,9,4",
        "looks.csv line 2, cavity: there is no '9' of M1 body; known are: 1, 2",
    ),
    ("looks.csv", "body,1,4", "bdy,1,4", "looks.csv line 2, part: there is no 'bdy'; did you mean 'body'?"),
    (
        "looks.csv",
        "body,1,4",
        ",1,4",
        "looks.csv line 2, cavity: cavity '1' with part ''; give both or neither",
    ),
    ("looks.csv", "body,1,4", "body,1,four", "looks.csv line 2, shot_number: 'four' is no whole number"),
    (
        "looks.csv",
        ",,,20,",
        ",,,1000001,",
        "looks.csv line 3, pieces: 1000001 is not from 1 to 1000000; correct it",
    ),
    (
        "looks.csv",
        "10:00:00Z",
        "10:00:00",
        "looks.csv line 2, looked_at: 2026-03-02 10:00:00 has no offset from UTC; write it like",
    ),
    (
        "flaws.csv",
        "M1,T1,1,short",
        "M1,T1,3,short",
        "flaws.csv line 2, look: there is no '3' of M1 T1; known",
    ),
    (
        "flaws.csv",
        "short,left",
        "shorts,left",
        "flaws.csv line 2, defect: there is no 'shorts'; did you mean",
    ),
    (
        "flaws.csv",
        "left ear,2",
        "left ear,6",
        "flaws.csv line 2, pieces: 6, but 5 were looked at; a flaw cannot be on more pieces than were",
    ),
    ("flaws.csv", "left ear,2", "left ear,0", "flaws.csv line 2, pieces: 0 is not from 1"),
    (
        "flaws.csv",
        "1,flash,,",
        "1,short,left ear,",
        "flaws.csv line 3, tool, trial, look, defect, flaw_place: M1 T1 1 short left ear stands on line 2",
    ),
    (
        "photographs.csv",
        "M1,T1,1",
        "M1,T1,9",
        "photographs.csv line 2, look: there is no '9' of M1 T1; known",
    ),
    (
        "photographs.csv",
        "short,left ear",
        "short,right ear",
        "photographs.csv line 2, defect: look 1 of M1 T1 has no flaw 'short' at 'right ear'; name one of",
    ),
    (
        "photographs.csv",
        "short,left ear",
        ",left ear",
        "photographs.csv line 2, defect: look 1 of M1 T1 has no flaw '' at 'left ear'; name one of",
    ),
    (
        "photographs.csv",
        "image/png",
        "image/tiff",
        "photographs.csv line 2, media_type: 'image/tiff' is none of: image/jpeg, image/png, image/webp",
    ),
    ("photographs.csv", "png,40,30", "png,0,30", "photographs.csv line 2, width: 0 is not from 1 to"),
    (
        "photographs.csv",
        "ear.png,ear.png",
        "eye.png,ear.png",
        "photographs/ear.png: it is not listed in photographs.csv; give it its row, or take it out",
    ),
    (
        "photographs.csv",
        "ear.png,ear.png",
        "../ear.png,ear.png",
        "photographs/ear.png: it is not listed in photographs.csv",
    ),
    # what a gauge does
    (
        "gauge_studies.csv",
        "PG,S1",
        "PC,S1",
        "gauge_studies.csv line 2, gauge: there is no 'PC'; known are: PG",
    ),
    (
        "gauge_studies.csv",
        "PG,S1",
        "PG,S2",
        "gauge_studies.csv line 2, name: 'S2' has no readings; give its readings, or take the row out",
    ),
    (
        "gauge_studies.csv",
        "crossed,body,1",
        "crosed,body,1",
        "gauge_studies.csv line 2, kind: 'crosed' is none of: crossed, nested, reference part, linearity",
    ),
    (
        "gauge_studies.csv",
        "crossed,body,1",
        "crossed,body,7",
        "gauge_studies.csv line 2, characteristic: there is no '7' of body; known are: 1, 2",
    ),
    (
        "gauge_studies.csv",
        "crossed,body,1",
        "crossed,,1",
        "gauge_studies.csv line 2, part: there is no ''; known are: body",
    ),
    (
        "gauge_studies.csv",
        "body,1,,,",
        "body,1,0,,",
        "gauge_studies.csv line 2, tolerance: 0.0 must be above 0; correct it",
    ),
    (
        "gauge_studies.csv",
        "body,1,,,",
        "body,1,,-1,",
        "gauge_studies.csv line 2, reference_uncertainty: -1.0 must be at least 0",
    ),
    (
        "gauge_studies.csv",
        "2026-02-27,",
        "27.2.2026,",
        "gauge_studies.csv line 2, done_on: '27.2.2026' is no date",
    ),
    (
        "gauge_readings.csv",
        "PG,S1,A,Ada,2",
        "PG,S2,A,Ada,2",
        "gauge_readings.csv line 3, study: there is no 'S2' of PG; known are: S1",
    ),
    (
        "gauge_readings.csv",
        "PG,S1,A,Ada,2",
        "PG,S1,A,Ada,1",
        "gauge_readings.csv line 3, gauge, study, part, operator, repeat: PG S1 A Ada 1 stands on line 2",
    ),
    ("gauge_readings.csv", "Ada,2,4.0,", "Ada,0,4.0,", "gauge_readings.csv line 3, repeat: 0 is not from 1"),
    ("gauge_readings.csv", "4.0,4.02", "4.0,nan", "gauge_readings.csv line 3, value: 'nan' is no number"),
    (
        "gauge_readings.csv",
        "4.0,4.02",
        '"4,0",4.02',
        "gauge_readings.csv line 3, reference: '4,0' is no number",
    ),
    # what is left out
    (
        "exclusions.csv",
        "T1.csv,3",
        "T2.csv,3",
        "exclusions.csv line 4, file: there is no 'T2.csv'; did you mean",
    ),
    (
        "exclusions.csv",
        "T1.csv,3,1",
        "T1.csv,4,1",
        "exclusions.csv line 4, row: row 4, column 1 of 'T1.csv' holds no readings; name the cell of one",
    ),
    (
        "readings/M1_T1.csv",
        "T1.csv,3,1",
        "T1.csv,2,1",
        "exclusions.csv line 2, row: row 2, column 1 of 'T1.csv' holds 2 readings; name the cell of one",
    ),
    ("exclusions.csv", "yes,it fell", "yes,", "exclusions.csv line 2, reason: must not be empty; fill it in"),
    ("exclusions.csv", "yes,it fell", ",it fell", "exclusions.csv line 2, is_left_out: must not be empty"),
    (
        "exclusions.csv",
        "yes,it fell",
        "maybe,it fell",
        "exclusions.csv line 2, is_left_out: 'maybe' is neither yes nor no; write yes or no",
    ),
    (
        "exclusions.csv",
        "08:00:00Z,Ada",
        "today,Ada",
        "exclusions.csv line 2, made_at: '2026-03-04Ttoday' is no",
    ),
]
