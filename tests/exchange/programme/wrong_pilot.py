"""One wrong thing in the folder of the piloted otter: file, what stood, what stands now, what is said."""

from __future__ import annotations

WRONG_LINES = [
    ("programme.toml", "to_months = 96", "to_months = 36", "to_months: 36 is not above from_months 36"),
    ("programme.toml", '"EU, US"', '"EU, UK"', "programme.markets: 'UK' is none of: US, EU, other"),
    ("lines.csv", "0.92,0.98", "0.92,1.2", "lines.csv line 2, planned_final_yield: 1.2 must be at most 1"),
    ("lines.csv", "0.92,0.98", "0.98,0.92", "planned_final_yield: 0.92 is below planned_first_yield 0.98"),
    ("line_stations.csv", "1,welding,1,", "1,welding,0,", "line 2, people: 0 is not from 1 to 10000"),
    ("line_stations.csv", ",,1,1,,", ",,9,1,,", "line_stations.csv line 3, rework_to: there is no '9'"),
    ("line_stations.csv", "5400,150", "5400,", "line 2, stands_s: works_s without stands_s"),
    ("line_stations.csv", "welder; booth", "welder; oven", "line 2, has: there is no 'oven' of otter line"),
    ("line_equipment.csv", "line,booth", "line,booth;2", "line 3, name: 'booth;2' has a semicolon"),
    ("line_tasks.csv", "16.5", "0", "line_tasks.csv line 2, time_s: 0.0 s must be above 0"),
    ("line_tasks.csv", "10,,,welder", "10,,turn,welder", "tasks wait for each other in a circle: "),
    ("line_tasks.csv", "look; weld", "turn", "line 4, after: task 'turn' names itself"),
    ("line_tasks.csv", "look; weld", "lock", "line 4, after: there is no 'lock' of otter line; did you mean"),
    (
        "line_tasks.csv",
        ",,,weld,,hip",
        ",,look,look,,hip",
        "turn and look are to be at one station and not",
    ),
    ("line_breaks.csv", "2,2.25", "2,2", "line_breaks.csv line 2, ends_h: 2 is not after begins_h 2"),
    ("line_presses.csv", ",weld\n", ",wash\n", "line_presses.csv line 2, task: there is no 'wash' of otter"),
]

WRONG_PILOTS = [
    ("pilot_trials.csv", "M1,T1", "M1,T9", "pilot_trials.csv line 2, trial: there is no 'T9' of M1"),
    ("pilot_files.csv", "P1,times,1", "P1,times,2", "pilot_times.csv line 2, sheet: there is no '1' of"),
    ("pilot_counts.csv", "100,90,6,4", "100,90,6,5", "line 2, tried: 100 were tried, but good, reworked and"),
    ("pilot_counts.csv", ",1,welder", ",7,welder", "pilot_counts.csv line 2, station: there is no '7'"),
    ("pilot_defects.csv", "10,4", "3,4", "line 2, scrapped: 4 were scrapped, but 3 had the defect"),
    ("pilot_audits.csv", "torso,,310", "torso,hip,310", "an audit is of a seam or of a joint: give one of"),
]

WRONG_RELEASE = [
    ("release_lines.csv", "paint; steel", "paint; mood", "line 2, stale_by: 'mood' is none of: steel, resin"),
    ("evidence.csv", "packaging,holds", "parcels,holds", "evidence.csv line 2, code: there is no 'parcels'"),
    ("evidence.csv", "drop.txt,drop.txt", "drop.txt,", "give all three, or none where there is no file"),
    ("evidence_states.csv", "M1,a", "M1,z", "evidence_states.csv line 2, state: there is no 'z' of M1"),
    ("toy_tests.csv", "US,torque", "US,tickling", "toy_tests.csv line 2, test: 'tickling' has not the right"),
    ("toy_test_pieces.csv", "turned,1", "pulled,1", "'legs turned' has no pieces; give its pieces, or take"),
    ("changes.csv", "M1,body", "M9,body", "changes.csv line 2, tool: there is no 'M9'"),
    ("concessions.csv", "2026-06-30", "", "concessions.csv line 2, until: it has no end; say until when"),
    ("concessions.csv", "2026-03-18,,", "2026-03-18,2026-03-20,", "has a day and a reason; give both or"),
    ("limit_samples.csv", "line,2,", "line,,", "line 2, station: station blank with line 'otter line'; give"),
    (
        "signatures.csv",
        "tooling",
        "neighbour",
        "signatures.csv line 2, role: 'neighbour' is none of",
    ),
    ("step_days.csv", "8,12", "8,2", "step_days.csv line 2, high_days: 2 is below low_days 8"),
]
