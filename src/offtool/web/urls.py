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
from offtool.web.views.press import look, photograph, set_aside, thumbnail
from offtool.web.views.programmes import programme, programmes
from offtool.web.views.reading import read, start
from offtool.web.views.size import size
from offtool.web.views.steel import name_one, nameless
from offtool.web.views.studies import read_study
from offtool.web.views.trial import report, source_file, trial, workbook

register_converter(NameInPath, "name")

GAUGE = "p/<slug:programme>/gauges/<name:gauge>/"
TRIAL = "p/<slug:programme>/<name:tool>/<name:trial>/"

urlpatterns = [
    path("", programmes, name="programmes"),
    path("start/", start, name="start"),
    path("demo/", demo, name="demo"),
    path("p/<slug:programme>/", programme, name="programme"),
    path("p/<slug:programme>/defects/", defects, name="defects"),
    path("p/<slug:programme>/gauges/", gauges, name="gauges"),
    path(GAUGE, gauge, name="gauge"),
    path(f"{GAUGE}read/", read_study, name="read_study"),
    path(f"{GAUGE}studies/<int:study>/", study_file, name="study_file"),
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
