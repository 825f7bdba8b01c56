"""Which address shows which page."""

from __future__ import annotations

from django.urls import path, register_converter

from offtool.web.names import NameInPath
from offtool.web.views import ground as apart
from offtool.web.views import line as the_line
from offtool.web.views import line_define as line_entry
from offtool.web.views import line_table as line_file
from offtool.web.views.about import about
from offtool.web.views.archive import archive
from offtool.web.views.ask_trial import ask_trial, change_trial
from offtool.web.views.card_colour import card_colour
from offtool.web.views.colour_change import colour, colour_file
from offtool.web.views.colour_shots import read_colour
from offtool.web.views.correction import correction, sheet
from offtool.web.views.defects import defects
from offtool.web.views.demo import demo
from offtool.web.views.dossier import dossier, review_pdf
from offtool.web.views.formulas import formula, formulas
from offtool.web.views.gauges import gauge, gauges, study_file
from offtool.web.views.jobs_file import read_jobs
from offtool.web.views.joint_define import change_joint, new_joint
from offtool.web.views.joint_tests import read_joint_test
from offtool.web.views.joints import joint, joint_test_file, joints, joints_report
from offtool.web.views.line_run import run_line, run_line_progress
from offtool.web.views.lot import lot, order_table
from offtool.web.views.parts import part, part_file, part_picture, parts, read_mesh
from offtool.web.views.pilot import (
    change_pilot,
    new_pilot,
    pilot,
    pilot_file,
    pilot_report,
    pilots,
)
from offtool.web.views.pilot_sheets import read_pilot_file
from offtool.web.views.plan_trial import bag_labels, plan_trial, trial_request
from offtool.web.views.press import look, photograph, set_aside, thumbnail
from offtool.web.views.presses import presses, tool_on_presses
from offtool.web.views.prices import prices
from offtool.web.views.programmes import programme, programmes, step_days
from offtool.web.views.ramp import ramp
from offtool.web.views.reading import add_part, read, start
from offtool.web.views.review import review, review_evidence, review_line
from offtool.web.views.review_forms import (
    change,
    concession,
    edit_line,
    evidence,
    limit_samples,
    new_line,
    sign,
)
from offtool.web.views.sample import (
    change_part,
    change_sample,
    new_sample_part,
    sample,
    set_observation_aside,
)
from offtool.web.views.sample_look import look_at_sample
from offtool.web.views.sample_papers import sample_card, sample_labels, samples_csv, samples_workbook
from offtool.web.views.sample_photographs import photograph_sample, sample_photograph, sample_thumbnail
from offtool.web.views.samples import new_sample, samples
from offtool.web.views.samples_file import read_samples
from offtool.web.views.sampling import sampling
from offtool.web.views.seam_define import change as change_seam
from offtool.web.views.seam_define import new_seam
from offtool.web.views.seams import seam, seams, seams_report, weld_study_file
from offtool.web.views.size import size
from offtool.web.views.slots import slot_times, slots
from offtool.web.views.steel import name_one, nameless
from offtool.web.views.studies import read_study
from offtool.web.views.tool_numbers import tool_numbers
from offtool.web.views.toy_tests import market, read_toy_test, safety, toy_test_file
from offtool.web.views.trial import report, source_file, trial, workbook
from offtool.web.views.weld_studies import read_weld_study

register_converter(NameInPath, "name")

GAUGE = "p/<slug:programme>/gauges/<name:gauge>/"
GROUND = "p/<slug:programme>/told-apart-by/"
GROUND_PRESS = f"{GROUND}presses/<name:press>/"
JOINTS = "p/<slug:programme>/joints/"
JOINT = f"{JOINTS}<name:joint>/"
LINES = "p/<slug:programme>/line/"
LINE = f"{LINES}<name:line>/"
LINE_RUN = "p/<slug:programme>/line/<name:line>/run/"
PILOTS = "p/<slug:programme>/pilot/"
PILOT = f"{PILOTS}<name:pilot>/"
PLAN = "p/<slug:programme>/plan/"
PLAN_TRIAL = "p/<slug:programme>/plan/<name:tool>/<name:request_name>/"
PARTS = "p/<slug:programme>/parts/"
PART = f"{PARTS}<name:part>/"
REVIEW = "p/<slug:programme>/review/"
REVIEW_LINE = f"{REVIEW}lines/<name:code>/"
SAFETY = "p/<slug:programme>/safety/"
SAMPLES = "p/<slug:programme>/samples/"
SAMPLE = f"{SAMPLES}<name:sample>/"
SEAMS = "p/<slug:programme>/seams/"
SEAM = f"{SEAMS}<name:seam>/"
TRIAL = "p/<slug:programme>/<name:tool>/<name:trial>/"

urlpatterns = [
    path("", programmes, name="programmes"),
    path("start/", start, name="start"),
    path("archive/", archive, name="archive"),
    path("demo/", demo, name="demo"),
    path("order/", order_table, name="order_table"),
    path("sampling/", sampling, name="sampling"),
    path("p/<slug:programme>/", programme, name="programme"),
    path("p/<slug:programme>/add/", add_part, name="add_part"),
    path("p/<slug:programme>/way/", step_days, name="step_days"),
    path("p/<slug:programme>/review/dossier.pdf", review_pdf, name="review_pdf"),
    path("p/<slug:programme>/review/dossier.zip", dossier, name="dossier"),
    path("p/<slug:programme>/defects/", defects, name="defects"),
    path("p/<slug:programme>/gauges/", gauges, name="gauges"),
    path(GAUGE, gauge, name="gauge"),
    path(f"{GAUGE}read/", read_study, name="read_study"),
    path(f"{GAUGE}studies/<int:study>/", study_file, name="study_file"),
    path(JOINTS, joints, name="joints"),
    path(f"{JOINTS}new/", new_joint, name="new_joint"),
    path(f"{JOINTS}report.pdf", joints_report, name="joints_report"),
    path(JOINT, joint, name="joint"),
    path(f"{JOINT}change/", change_joint, name="change_joint"),
    path(f"{JOINT}read/", read_joint_test, name="read_joint_test"),
    path(f"{JOINT}tests/<int:test>/", joint_test_file, name="joint_test_file"),
    path(LINES, the_line.line_only, name="line_only"),
    path(f"{LINES}new/", line_entry.new_line, name="new_line"),
    path(f"{LINES}read/", line_file.read_new_line, name="read_new_line"),
    path(LINE, the_line.line, name="line"),
    path(f"{LINE}plan/", line_entry.change_line, name="change_line"),
    path(f"{LINE}read/", line_file.read_line, name="read_line"),
    path(f"{LINE}tasks.csv", the_line.line_table, name="line_table"),
    path(f"{LINE}sheet.pdf", the_line.line_sheet, name="line_sheet"),
    path(f"{LINE}stations/", line_entry.station, name="new_line_station"),
    path(f"{LINE}stations/<int:number>/", line_entry.station, name="line_station"),
    path(f"{LINE}tasks/", line_entry.task, name="new_line_task"),
    path(f"{LINE}tasks/<name:task>/", line_entry.task, name="line_task"),
    path(f"{LINE}equipment/<name:equipment>/", line_entry.equipment, name="line_equipment"),
    path(f"{LINE}presses/", line_entry.feed, name="new_line_feed"),
    path(f"{LINE}presses/<name:tool>/", line_entry.feed, name="line_feed"),
    path(f"{LINE}breaks/", line_entry.new_break, name="new_line_break"),
    path(f"{LINE}breaks/out/", line_entry.break_out, name="line_break_out"),
    path(LINE_RUN, run_line, name="run_line"),
    path(f"{LINE_RUN}<slug:key>/", run_line_progress, name="run_line_progress"),
    path(PARTS, parts, name="parts"),
    path(PART, part, name="part"),
    path(f"{PART}picture.bin", part_picture, name="part_picture"),
    path(f"{PART}file/", part_file, name="part_file"),
    path(f"{PART}read/", read_mesh, name="read_mesh"),
    path(REVIEW, review, name="review"),
    path(f"{REVIEW}changes/", change, name="tell_change"),
    path(f"{REVIEW}evidence/<int:key>/", review_evidence, name="review_evidence"),
    path(f"{REVIEW}limit-samples/", limit_samples, name="limit_samples"),
    path(f"{REVIEW}new-line/", new_line, name="review_new_line"),
    path(f"{REVIEW}sign/", sign, name="sign_review"),
    path(REVIEW_LINE, review_line, name="review_line"),
    path(f"{REVIEW_LINE}change/", edit_line, name="review_edit_line"),
    path(f"{REVIEW_LINE}concession/", concession, name="give_concession"),
    path(f"{REVIEW_LINE}evidence/", evidence, name="give_evidence"),
    path(SAMPLES, samples, name="samples"),
    path(f"{SAMPLES}new/", new_sample, name="new_sample"),
    path(f"{SAMPLES}read/", read_samples, name="read_samples"),
    path(f"{SAMPLES}labels.pdf", sample_labels, name="sample_labels"),
    path(f"{SAMPLES}samples.xlsx", samples_workbook, name="samples_workbook"),
    path(f"{SAMPLES}samples.csv", samples_csv, name="samples_csv"),
    path(f"{SAMPLES}lot/", lot, name="lot"),
    path(SAMPLE, sample, name="sample"),
    path(f"{SAMPLE}card.pdf", sample_card, name="sample_card"),
    path(f"{SAMPLE}change/", change_sample, name="change_sample"),
    path(f"{SAMPLE}look/", look_at_sample, name="look_at_sample"),
    path(f"{SAMPLE}parts/", new_sample_part, name="new_sample_part"),
    path(f"{SAMPLE}parts/<name:label>/", change_part, name="change_sample_part"),
    path(f"{SAMPLE}photographs/", photograph_sample, name="photograph_sample"),
    path(f"{SAMPLE}photographs/<int:key>/colour/", card_colour, name="card_colour"),
    path(f"{SAMPLE}photographs/<int:key>.jpg", sample_photograph, name="sample_photograph"),
    path(f"{SAMPLE}photographs/<int:key>-small.jpg", sample_thumbnail, name="sample_thumbnail"),
    path(f"{SAMPLE}seen/<slug:kind>/<int:key>/aside/", set_observation_aside, name="set_observation_aside"),
    path(SAFETY, safety, name="safety"),
    path(f"{SAFETY}for-whom/", market, name="market"),
    path(f"{SAFETY}read/", read_toy_test, name="read_toy_test"),
    path(f"{SAFETY}tests/<int:run>/", toy_test_file, name="toy_test_file"),
    path(SEAMS, seams, name="seams"),
    path(f"{SEAMS}new/", new_seam, name="new_seam"),
    path(f"{SEAMS}report.pdf", seams_report, name="seams_report"),
    path(SEAM, seam, name="seam"),
    path(f"{SEAM}change/", change_seam, name="change_seam"),
    path(f"{SEAM}read/", read_weld_study, name="read_weld_study"),
    path(f"{SEAM}studies/<int:study>/", weld_study_file, name="weld_study_file"),
    path(GROUND, apart.ground, name="ground"),
    path(f"{GROUND}runs/<name:tool>/", apart.run, name="ground_new_run"),
    path(f"{GROUND}runs/<name:tool>/<name:run>/", apart.run, name="ground_run"),
    path(f"{GROUND}details/<name:part>/", apart.detail, name="ground_new_detail"),
    path(f"{GROUND}details/<name:part>/<name:detail>/", apart.detail, name="ground_detail"),
    path(f"{GROUND}builds/", apart.build, name="ground_new_build"),
    path(f"{GROUND}builds/<name:build>/", apart.build, name="ground_build"),
    path(f"{GROUND}presses/", apart.press, name="ground_new_press"),
    path(GROUND_PRESS, apart.press, name="ground_press"),
    path(f"{GROUND_PRESS}jobs/", apart.job, name="ground_new_job"),
    path(f"{GROUND_PRESS}jobs/<name:job>/", apart.job, name="ground_job"),
    path(f"{GROUND}stages/<slug:stage>/", apart.stage, name="ground_stage"),
    path(f"{GROUND}signs/<name:sign>/", apart.sign, name="ground_sign"),
    path("p/<slug:programme>/presses/", presses, name="presses"),
    path("p/<slug:programme>/presses/for/<name:tool>/", tool_on_presses, name="fit_tool"),
    path("p/<slug:programme>/presses/money/", prices, name="prices"),
    path("p/<slug:programme>/presses/tools/<name:tool>/", tool_numbers, name="tool_numbers"),
    path("p/<slug:programme>/plan/<name:tool>/new/", ask_trial, name="ask_trial"),
    path(
        "p/<slug:programme>/plan/<name:tool>/<name:request_name>/change/", change_trial, name="change_trial"
    ),
    path("p/<slug:programme>/colour/", colour, name="colour"),
    path("p/<slug:programme>/colour/<name:press>/read/", read_colour, name="read_colour"),
    path("p/<slug:programme>/colour/<name:press>/<int:change>/", colour_file, name="colour_file"),
    path(PILOTS, pilots, name="pilots"),
    path(f"{PILOTS}new/", new_pilot, name="new_pilot"),
    path(PILOT, pilot, name="pilot"),
    path(f"{PILOT}change/", change_pilot, name="change_pilot"),
    path(f"{PILOT}read/<slug:kind>/", read_pilot_file, name="read_pilot_file"),
    path(f"{PILOT}sheets/<int:sheet>/", pilot_file, name="pilot_file"),
    path(f"{PILOT}report.pdf", pilot_report, name="pilot_report"),
    path(f"{PILOT}ramp/", ramp, name="ramp"),
    path(PLAN, slots, name="slots"),
    path(f"{PLAN}times/", slot_times, name="slot_times"),
    path(f"{PLAN}jobs/", read_jobs, name="read_jobs"),
    path(PLAN_TRIAL, plan_trial, name="plan_trial"),
    path(f"{PLAN_TRIAL}request.pdf", trial_request, name="trial_request"),
    path(f"{PLAN_TRIAL}labels.pdf", bag_labels, name="bag_labels"),
    path(TRIAL, trial, name="trial"),
    path(f"{TRIAL}findings.xlsx", workbook, name="workbook"),
    path(f"{TRIAL}layout.pdf", report, name="report"),
    path(f"{TRIAL}files/<int:source>/", source_file, name="source_file"),
    path(f"{TRIAL}read/", read, name="read"),
    path(f"{TRIAL}look/", look, name="look"),
    path(f"{TRIAL}look/<int:number>/aside/", set_aside, name="set_look_aside"),
    path(f"{TRIAL}look/photographs/<int:number>.jpg", photograph, name="photograph"),
    path(f"{TRIAL}look/photographs/<int:number>-small.jpg", thumbnail, name="thumbnail"),
    path(f"{TRIAL}steel/", nameless, name="steel"),
    path(f"{TRIAL}steel/<name:part>/<name:number>/", name_one, name="name_steel"),
    path(f"{TRIAL}size/<name:part>/<name:number>/", size, name="size"),
    path(f"{TRIAL}correction/", correction, name="correction"),
    path(f"{TRIAL}correction/sheet.pdf", sheet, name="sheet"),
    path("formulas/", formulas, name="formulas"),
    path("formulas/<slug:name>/", formula, name="formula"),
    path("about/", about, name="about"),
]

handler400 = "offtool.web.views.errors.not_understood"
handler403 = "offtool.web.views.errors.not_allowed"
handler404 = "offtool.web.views.errors.not_found"
handler500 = "offtool.web.views.errors.broken"
