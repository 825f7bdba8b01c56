"""The release review of a small product: what feeds a line, what makes it stale, what a concession covers."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from offtool.core.pilot.release import Standing
from offtool.core.values import OfftoolError, Verdict
from offtool.handbook.release_list import RELEASE_LIST, Change, Fed, requirements_for
from offtool.handbook.terms import EvidenceSays
from offtool.records.models import Cavity, Characteristic, Part, Programme, Tool, ToolState
from offtool.records.operations import NewConcession, define_market, define_release_line, give_concession
from offtool.records.queries.finding import NotInRecord
from offtool.steps.review_found import ReviewFact
from offtool.steps.review_ground import ReviewGround
from offtool.steps.review_lines import FEEDS
from offtool.steps.review_list import review_list
from offtool.steps.review_papers import ONLY_PAPERS, STEEL_UNSAID
from offtool.steps.review_release import review_release
from offtool.steps.review_sentences import _FIRST
from offtool.steps.review_sizes import _low
from offtool.steps.review_sources import source_bytes
from tests.steps import jointed, reviewed
from tests.steps.clip import SLUG, keep, trial_file
from tests.steps.reviewed import ON, TESTED, concession, cut, evidence, only, review

pytestmark = pytest.mark.usefixtures("clip")

GOOD = {"peg": 4.005, "length": 20.0}
"""Means in the middle of the limits."""


def fact(code: str, item: str) -> ReviewFact:
    """The fact of that name on that line."""
    return next(one for one in review().line(code).facts if one.item == item)


def test_every_sort_of_line_is_fed_or_answered_by_papers_and_has_its_place_in_the_order() -> None:
    assert set(FEEDS) | set(ONLY_PAPERS) | {Fed.SIGNATURES} == set(Fed)
    assert sorted(_FIRST) == sorted(Fed)


def test_a_product_of_which_nothing_is_known_may_not_start_and_is_told_what_to_say_first() -> None:
    found = review()
    assert found.verdict is not Verdict.HOLDS
    assert found.headline.startswith("Clip may not start: ")
    assert found.unsaid == ("for which markets it is", "from which age on it is")
    assert found.actions[0].words == "Say for which markets it is and from which age on it is."
    assert {one.code for one in found.lines} == {one.code for one in RELEASE_LIST}
    assert not found.may_be_released


def test_the_lines_asked_are_those_of_the_market_and_the_age(clip: Programme) -> None:
    define_market(clip, {"markets": "EU", "from_months": 24.0}, made_by="tester")
    asked = {one.code for one in requirements_for("EU", from_months=24)}
    found = review()
    assert {one.code for one in found.lines} == asked
    assert {one.code for one in found.not_asked} == {one.code for one in RELEASE_LIST} - asked
    define_market(clip, {"markets": "US EU", "from_months": 36.0}, made_by="tester")
    why = {one.code: one.why for one in review().not_asked}
    assert why["small-parts"] == "asked for 0 to 36 months; it is from 36 months"
    assert "certificate-us" not in why


def test_an_unknown_programme_or_line_is_named() -> None:
    with pytest.raises(NotInRecord, match="no programme"):
        review_release("otter", ON)
    with pytest.raises(NotInRecord, match="did you mean 'sizes'"):
        review().line("size")


class TestSizes:
    """What the drawing asks, cavity by cavity."""

    @pytest.fixture(autouse=True)
    def asked(self, clip: Programme) -> None:
        only(clip, "sizes")

    def test_a_size_that_nobody_measured_is_missing(self) -> None:
        assert fact("sizes", "P1 1").standing is Standing.MISSING
        assert review().line("sizes").standing is Standing.MISSING

    def test_a_size_outside_its_limits_fails_in_the_cavities_where_it_is(self) -> None:
        keep(trial_file())  # the peg is 0.015 below its lower limit in both cavities
        failing = [one.item for one in review().line("sizes").failing]
        assert [one for one in failing if one.startswith("P1 1")] == ["P1 1, cavity 1", "P1 1, cavity 2"]

    def test_a_good_size_holds_and_leads_to_its_page_and_its_file(self) -> None:
        keep(trial_file(**GOOD), name="good.csv")
        found = fact("sizes", "P1 1")
        assert found.standing is Standing.HOLDS
        assert found.target is not None
        assert found.target.names == ("M1", "T1", "P1", "1")
        (source,) = found.sources
        assert source_bytes(source) == trial_file(**GOOD)

    def test_a_cut_makes_stale_what_it_touched_and_only_that(self, clip: Programme) -> None:
        keep(trial_file(**GOOD))
        cut(clip, "CV1")
        touched, other = fact("sizes", "P1 1"), fact("sizes", "P1 2")
        assert touched.standing is Standing.STALE
        assert touched.stale_because[0].words == "M1 was cut to state b (CV1 in cavities 1 and 2)"
        assert touched.again == "Measure P1 1 again in the next trial of M1."
        assert other.standing is Standing.HOLDS
        assert other.words.endswith("what was cut since does not touch it")

    def test_steel_of_which_nobody_wrote_what_was_cut_makes_all_of_the_tool_stale(
        self, clip: Programme
    ) -> None:
        keep(trial_file(**GOOD))
        cut(clip)
        assert fact("sizes", "P1 1").standing is Standing.STALE
        assert fact("sizes", "P1 2").standing is Standing.STALE

    def test_what_failed_before_the_cut_still_fails_and_asks_to_be_measured(self, clip: Programme) -> None:
        keep(trial_file())
        cut(clip, "CV1")
        found = fact("sizes", "P1 1, cavity 1")
        assert found.standing is Standing.FAILS
        assert found.again == "Measure P1 1 again in the next trial of M1."

    def test_a_paper_turns_no_measured_failure_into_holding(self) -> None:
        keep(trial_file())
        evidence("sizes", tested_on=ON)
        line = review().line("sizes")
        assert line.standing is Standing.FAILS
        assert fact("sizes", "P2 1").standing is Standing.HOLDS  # not measured, and the paper answers it
        assert fact("sizes", "P1 1, cavity 1").standing is Standing.FAILS

    def test_a_paper_that_names_its_steel_answers_for_no_other_tool(self, clip: Programme) -> None:
        other = Tool.objects.create(programme=clip, code="M9")
        part = Part.objects.create(programme=clip, code="P9", resin=clip.resins.get())
        Cavity.objects.create(tool=other, part=part, label="1")
        Characteristic.objects.create(
            part=part, number="1", kind="length", unit="mm", nominal=1.0, lower=0.9, upper=1.1
        )
        ToolState.objects.create(tool=other, label="a", ordinal=1)
        evidence("sizes", states=("M1 a",), tested_on=ON)
        assert fact("sizes", "P2 1").standing is Standing.HOLDS
        assert fact("sizes", "P9 1").standing is Standing.MISSING
        evidence("sizes", states=("M9 a",), tested_on=ON, number="R-2")
        assert "answered by R-2" in fact("sizes", "P9 1").words

    def test_a_concession_for_a_size_covers_its_cavities_and_nothing_else(self) -> None:
        keep(trial_file())
        concession("sizes", item="P1 1")
        assert fact("sizes", "P1 1, cavity 1").standing is Standing.CONCESSION
        assert "as it is, until 2026-06-30" in fact("sizes", "P1 1, cavity 1").under
        assert fact("sizes", "P1 2, cavity 1").standing is Standing.FAILS

    def test_a_paper_that_names_no_steel_says_by_what_it_is_taken(self, clip: Programme) -> None:
        only(clip, "packaging")
        evidence("packaging")
        assert review().line("packaging").facts[0].words.endswith(f"holds; {STEEL_UNSAID}")
        evidence("packaging", states=("M1 a",), number="R-2")
        assert fact("packaging", "R-2").words.endswith("holds")

    def test_a_concession_for_what_the_line_does_not_name_is_refused_with_what_it_names(self) -> None:
        keep(trial_file())
        with pytest.raises(OfftoolError, match=r"line sizes names no 'M2 ear'") as refused:
            concession("sizes", item="M2 ear")
        named = [one.item for one in review().line("sizes").facts]
        assert named[0] in refused.value.remedy
        assert refused.value.where == "item"
        assert not review().line("sizes").concessions
        concession("sizes", item=named[0].upper())  # as people type it
        assert fact("sizes", named[0]).under

    def test_a_concession_counts_no_more_after_its_last_day(self) -> None:
        keep(trial_file())
        concession("sizes")
        assert review(date(2026, 6, 30)).line("sizes").standing is Standing.CONCESSION
        after = review(date(2026, 7, 1)).line("sizes")
        assert after.standing is Standing.FAILS
        assert after.concessions[0].why_not == "its last day was 2026-06-30"

    def test_a_resin_told_of_one_part_leaves_the_other_as_it_is(self) -> None:
        keep(trial_file(**GOOD))
        reviewed.change(Change.RESIN, ON, part="P2")
        assert fact("sizes", "P1 1").standing is Standing.HOLDS
        reviewed.change(Change.RESIN, ON, part="P1")
        assert fact("sizes", "P1 1").standing is Standing.STALE


class TestPapers:
    """Lines that people answer."""

    @pytest.fixture(autouse=True)
    def asked(self, clip: Programme) -> None:
        only(clip, "packaging", "certificate-us", "material")

    def test_without_a_paper_it_is_missing_and_says_of_what(self) -> None:
        assert review().line("packaging").to_do == "Give evidence of the drops of the packed carton."

    def test_a_paper_that_holds_makes_the_line_hold(self) -> None:
        evidence("packaging")
        line = review().line("packaging")
        assert line.standing is Standing.HOLDS
        assert line.since == TESTED

    def test_a_failing_paper_stays_until_a_new_one_takes_its_place(self) -> None:
        old = evidence("packaging", says=EvidenceSays.FAILS)
        evidence("packaging", number="R-2")
        assert review().line("packaging").standing is Standing.FAILS
        evidence("packaging", number="R-3", instead_of=(old,))
        line = review().line("packaging")
        assert line.standing is Standing.HOLDS
        assert [one.set_aside for one in line.evidence if one.key == old] == ["R-3 takes its place"]

    def test_a_change_of_the_pack_makes_it_stale_and_one_of_the_resin_does_not(self) -> None:
        evidence("packaging")
        reviewed.change(Change.RESIN, TESTED + timedelta(days=3))
        assert review().line("packaging").standing is Standing.HOLDS
        reviewed.change(Change.PACK, TESTED + timedelta(days=3))
        line = review().line("packaging")
        assert line.standing is Standing.STALE
        assert "pack: another lot (2026-03-13)" in line.because

    def test_a_paper_on_named_steel_is_stale_after_a_cut_of_that_tool_alone(self, clip: Programme) -> None:
        evidence("packaging", states=("M1 a",), tested_on=ON)
        assert review().line("packaging").standing is Standing.HOLDS
        cut(clip)
        assert review().line("packaging").standing is Standing.STALE

    def test_the_american_certificate_asks_an_accredited_laboratory_and_a_year_at_most(self) -> None:
        evidence("certificate-us")
        line = review().line("certificate-us")
        assert line.standing is Standing.MISSING
        assert "not said to be accredited" in line.because
        evidence("certificate-us", number="R-9", accredited=True, instead_of=(line.evidence[0].key,))
        assert review().line("certificate-us").standing is Standing.HOLDS
        assert review(TESTED + timedelta(days=366)).line("certificate-us").standing is Standing.STALE

    def test_on_a_line_of_the_law_and_on_signatures_no_concession_is_given(self) -> None:
        for code, why in (("certificate-us", "what the law asks"), ("signatures", "nobody signs")):
            with pytest.raises(OfftoolError, match=why):
                concession(code)

    def test_a_concession_on_the_law_that_stands_in_a_folder_counts_nothing(self, clip: Programme) -> None:
        new = NewConcession(
            code="certificate-us",
            amount="no certificate",
            pieces=50,
            reason="in a hurry",
            approved_by="A. Moor",
            given_on=TESTED,
        )
        give_concession(clip, new, made_by="tester")
        line = review().line("certificate-us")
        assert line.standing is Standing.MISSING
        assert line.concessions[0].why_not == "no concession of a firm allows what the law asks"

    def test_steel_that_is_yet_to_be_cut_makes_nothing_stale(self, clip: Programme) -> None:
        evidence("packaging", tested_on=ON)
        cut(clip, made_on=ON + timedelta(days=1))
        assert review().line("packaging").standing is Standing.HOLDS
        assert review(ON + timedelta(days=1)).line("packaging").standing is Standing.STALE

    def test_a_line_of_your_own_stands_before_the_signatures(self, clip: Programme) -> None:
        columns = {"title": "Scarf", "asks": "it stays on", "fed_by": Fed.DECORATION.value}
        define_release_line(clip, "scarf", columns, made_by="tester")
        assert review().codes[-2:] == ("scarf", "signatures")
        assert review().line("scarf").is_own


def test_a_joint_is_stale_only_after_a_cut_of_one_of_its_sizes(clip: Programme) -> None:
    jointed.with_bore(clip)
    keep(trial_file(**GOOD))
    jointed.a_joint()
    only(clip, "joints-fresh", "joints-aged")
    found = review()
    assert found.line("joints-fresh").standing in (Standing.MISSING, Standing.FAILS)
    assert found.line("joints-aged").standing is Standing.MISSING
    assert "no piece was read after heat, cold or cycles" in found.line("joints-aged").because


def test_no_weight_no_gauge_and_no_look_are_missing_in_words(clip: Programme) -> None:
    keep(trial_file(**GOOD))
    only(clip, "weight", "gauges", "findings", "tool-book", "capability", "limit-samples", "line-rate")
    found = review()
    words = {one.code: " ".join(each.words for each in one.facts) for one in found.lines}
    assert "P2: no weight is on its list of sizes" in words["weight"]
    assert "no size is called critical" in words["gauges"]
    assert "no size is called critical" in words["capability"]
    assert "nobody has looked at pieces" in words["findings"]
    assert "all 4 steel sizes are recorded" in words["tool-book"]
    assert "no limit piece is there" in words["limit-samples"]
    assert "no line is written down yet" in words["line-rate"]
    assert found.programme == SLUG


def test_a_pilot_of_which_some_runs_are_named_is_stale_after_a_cut_of_any_tool(clip: Programme) -> None:
    """Whole products have parts of every tool; a paper on named steel hangs on that steel alone."""
    keep(trial_file(**GOOD))
    other = Tool.objects.create(programme=clip, code="M9")
    for ordinal, label in enumerate("ab", start=1):
        ToolState.objects.create(tool=other, label=label, ordinal=ordinal, made_on=date(2026, 4, ordinal))
    ground = ReviewGround(SLUG, ON)
    asked = next(one for one in review_list(clip).asked if one.code == "yield")
    ran = ground.trial_named("M1", "T1")
    assert ran is not None
    whole = ground.made_stale(asked, TESTED, trials=(ran,), is_whole=True)
    assert [one.words for one in whole] == ["M9 was cut to state b"]
    assert ground.made_stale(asked, TESTED, trials=(ran,)) == ()
    assert ground.made_stale(asked, date(2026, 4, 3), trials=(ran,), is_whole=True) == ()


def test_an_index_just_below_what_is_asked_is_not_written_as_if_it_reached_it() -> None:
    assert [_low(low, 1.33) for low in (1.328, 1.33, 1.5, 1.3299)] == ["1.328", "1.33", "1.50", "1.3299"]
    assert _low(1.328, None) == "1.33"
