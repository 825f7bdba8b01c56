"""Which address shows which page."""

from __future__ import annotations

from django.urls import path, register_converter

from offtool.web.names import NameInPath
from offtool.web.views.about import about
from offtool.web.views.correction import correction, sheet
from offtool.web.views.defects import defects
from offtool.web.views.demo import demo
from offtool.web.views.formulas import formula, formulas
from offtool.web.views.gauges import gauge, gauges, study_file
from offtool.web.views.joint_define import change_joint, new_joint
from offtool.web.views.joint_tests import read_joint_test
from offtool.web.views.joints import joint, joint_test_file, joints, joints_report
from offtool.web.views.press import look, photograph, set_aside, thumbnail
from offtool.web.views.programmes import programme, programmes
from offtool.web.views.reading import add_part, read, start
from offtool.web.views.seam_define import change as change_seam
from offtool.web.views.seam_define import new_seam
from offtool.web.views.seams import seam, seams, seams_report, weld_study_file
from offtool.web.views.size import size
from offtool.web.views.steel import name_one, nameless
from offtool.web.views.studies import read_study
from offtool.web.views.trial import report, source_file, trial, workbook
from offtool.web.views.weld_studies import read_weld_study

register_converter(NameInPath, "name")

GAUGE = "p/<slug:programme>/gauges/<name:gauge>/"
JOINTS = "p/<slug:programme>/joints/"
JOINT = f"{JOINTS}<name:joint>/"
SEAMS = "p/<slug:programme>/seams/"
SEAM = f"{SEAMS}<name:seam>/"
TRIAL = "p/<slug:programme>/<name:tool>/<name:trial>/"

urlpatterns = [
    path("", programmes, name="programmes"),
    path("start/", start, name="start"),
    path("demo/", demo, name="demo"),
    path("p/<slug:programme>/", programme, name="programme"),
    path("p/<slug:programme>/add/", add_part, name="add_part"),
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
    path(SEAMS, seams, name="seams"),
    path(f"{SEAMS}new/", new_seam, name="new_seam"),
    path(f"{SEAMS}report.pdf", seams_report, name="seams_report"),
    path(SEAM, seam, name="seam"),
    path(f"{SEAM}change/", change_seam, name="change_seam"),
    path(f"{SEAM}read/", read_weld_study, name="read_weld_study"),
    path(f"{SEAM}studies/<int:study>/", weld_study_file, name="weld_study_file"),
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
