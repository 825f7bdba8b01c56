"""One wrong thing at a time in tests of joints and in demands, as in `wrong.py`."""

from __future__ import annotations

WRONG = [
    # what was read of assembled pieces
    (
        "joint_tests.csv",
        "hip,J1",
        "hipp,J1",
        "joint_tests.csv line 2, joint: there is no 'hipp'; did you mean 'hip'?",
    ),
    (
        "joint_tests.csv",
        "hip,J1",
        "hip,J2",
        "joint_tests.csv line 2, name: 'J2' has no readings; give its readings, or take the row out",
    ),
    (
        "joint_tests.csv",
        "J1,PG",
        "J1,PC",
        "joint_tests.csv line 2, gauge: there is no 'PC'; known are: PG",
    ),
    (
        "joint_tests.csv",
        "M1,T1,M1",
        "M1,T2,M1",
        "joint_tests.csv line 2, inner_trial: there is no 'T2' of M1; known are: T1",
    ),
    (
        "joint_tests.csv",
        "M1,T1,M1",
        "M2,T1,M1",
        "joint_tests.csv line 2, inner_tool: there is no 'M2'; known are: M1",
    ),
    (
        "joint_tests.csv",
        "M1,T1,M1",
        ",T1,M1",
        "joint_tests.csv line 2, inner_trial: trial 'T1' with tool ''; give both or neither: trials are",
    ),
    (
        "joint_tests.csv",
        "J1.csv,J1.csv",
        "J2.csv,J1.csv",
        "joint_tests/J1.csv: it is not listed in joint_tests.csv; read it into the record as a test of",
    ),
    (
        "joint_tests.csv",
        "2026-03-05,",
        "5.3.2026,",
        "joint_tests.csv line 2, done_on: '5.3.2026' is no date; write year-month-day, such as 2026-03-31",
    ),
    (
        "joint_readings.csv",
        "hip,J1,P1",
        "hop,J1,P1",
        "joint_readings.csv line 2, joint: there is no 'hop'; did you mean 'hip'?",
    ),
    (
        "joint_readings.csv",
        "hip,J1,P1",
        "hip,J2,P1",
        "joint_readings.csv line 2, test: there is no 'J2' of hip; known are: J1",
    ),
    (
        "joint_readings.csv",
        "hip,J1,P1",
        "hip,J1,",
        "joint_readings.csv line 2, piece: must not be empty; fill it in",
    ),
    (
        "joint_readings.csv",
        "M1,limb,1",
        "M1,limb,2",
        "joint_readings.csv line 2, inner_cavity: there is no '2' of M1 limb; known are: 1",
    ),
    (
        "joint_readings.csv",
        "M1,limb,1",
        "M1,lim,1",
        "joint_readings.csv line 2, inner_part: there is no 'lim'; did you mean 'limb'?",
    ),
    (
        "joint_readings.csv",
        "M1,limb,1",
        "M3,limb,1",
        "joint_readings.csv line 2, inner_tool: there is no 'M3'; known are: M1",
    ),
    (
        "joint_readings.csv",
        "M1,limb,1",
        ",limb,1",
        "joint_readings.csv line 2, inner_cavity: cavity '1' with tool '' and part 'limb'; give all of",
    ),
    (
        "joint_readings.csv",
        "M1,limb,1",
        ",limb,",
        "joint_readings.csv line 2, inner_cavity: cavity '' with tool '' and part 'limb'; give all of",
    ),
    (
        "joint_readings.csv",
        "breakaway torque,fresh",
        "breakaway,fresh",
        "joint_readings.csv line 2, what: 'breakaway' is none of: breakaway torque, running torque,",
    ),
    (
        "joint_readings.csv",
        "breakaway torque,fresh",
        "breakaway torque,new",
        "joint_readings.csv line 2, condition: 'new' is none of: fresh, aged, cycled; known are: aged,",
    ),
    (
        "joint_readings.csv",
        "fresh,24",
        "fresh,-24",
        "joint_readings.csv line 2, hours: -24.0 h must be at least 0; correct it",
    ),
    (
        "joint_readings.csv",
        "24,5,Ada",
        "24,5.5,Ada",
        "joint_readings.csv line 2, cycles: '5.5' is no whole number; write digits only",
    ),
    (
        "joint_readings.csv",
        "Ada,1,0.043",
        "Ada,0,0.043",
        "joint_readings.csv line 2, repeat: 0 is not from 1 to 2147483647; correct it",
    ),
    (
        "joint_readings.csv",
        "0.051",
        "0.o51",
        "joint_readings.csv line 3, value: '0.o51' is no number; write digits with a decimal point, such",
    ),
    (
        "joint_readings.csv",
        "0.051,3,2",
        "0.051,2,2",
        "joint_readings.csv line 3, joint, test, row, column: hip J1 2 2 stands on line 2 already; keep",
    ),
    # what a joint asks
    (
        "joint_demands.csv",
        "hip,limb,1",
        "hop,limb,1",
        "joint_demands.csv line 2, joint: there is no 'hop'; did you mean 'hip'?",
    ),
    (
        "joint_demands.csv",
        "hip,limb,1",
        "hip,limp,1",
        "joint_demands.csv line 2, part: there is no 'limp'; did you mean 'limb'?",
    ),
    (
        "joint_demands.csv",
        "hip,limb,1",
        "hip,limb,3",
        "joint_demands.csv line 2, characteristic: there is no '3' of limb; known are: 1, 2",
    ),
    (
        "joint_demands.csv",
        "hip,limb,1",
        "hip,limb,2",
        "joint_demands.csv line 2, characteristic: limb 2 is no size of joint hip; name one of its",
    ),
    (
        "joint_demands.csv",
        "hip,limb,1",
        "stack,limb,1",
        "joint_demands.csv line 2, characteristic: limb 1 is no size of joint stack; name one of its",
    ),
    (
        "joint_demands.csv",
        "hip,body,1,3.98",
        "hip,limb,1,3.98",
        "joint_demands.csv line 3, joint, part, characteristic, made_at: hip limb 1 2026-03-06",
    ),
    (
        "joint_demands.csv",
        "09:00:00Z,Ada,the peg is moved instead\n",
        "09:00:00Z,Ada,\nhip,body,1,3.99,,,again,2026-03-07T09:00:00Z,Ada,\n",
        "joint_demands.csv line 4, dropped: body 1 has a demand that counts on line 3 already; say of",
    ),
    (
        "joint_demands.csv",
        "4.045,4.02,4.07",
        "4.01,4.02,4.07",
        "joint_demands.csv line 2, target: 4.01 is not from lower 4.02 to upper 4.07; leave demands as",
    ),
    (
        "joint_demands.csv",
        "4.045,4.02,4.07",
        "4.08,4.02,4.07",
        "joint_demands.csv line 2, target: 4.08 is not from lower 4.02 to upper 4.07; leave demands as",
    ),
    (
        "joint_demands.csv",
        "loose in every pair",
        "",
        "joint_demands.csv line 2, reason: must not be empty; fill it in",
    ),
    (
        "joint_demands.csv",
        "09:00:00Z",
        "09:00:00",
        "joint_demands.csv line 2, made_at: 2026-03-06 09:00:00 has no offset from UTC; write it like",
    ),
]
