"""The fingerprint of a review: the same for the same standing, another for any other."""

from __future__ import annotations

import hashlib
import json

from hypothesis import strategies as st

from offtool.core.pilot.release import LineAsItStands, changed_since, digests, fingerprint
from tests.core.laws import law

FACTS = st.lists(st.tuples(st.text(max_size=4), st.sampled_from(["holds", "stale"])), max_size=4)
LINES = st.dictionaries(st.sampled_from(["sizes", "weight", "seams", "joints"]), FACTS, min_size=1)


def stood(lines: dict[str, list[tuple[str, str]]]) -> dict[str, LineAsItStands]:
    return {code: LineAsItStands(standing="holds", facts=facts) for code, facts in lines.items()}


def test_it_is_sha_256_of_the_lines_by_name_as_plain_json() -> None:
    lines = {"b": LineAsItStands(standing="stale", facts=[("x", "1")]),
             "a": LineAsItStands(standing="holds", facts=[])}  # fmt: skip
    short = [
        [code, hashlib.sha256(text.encode()).hexdigest()[:16]]
        for code, text in (("a", '["holds",[]]'), ("b", '["stale",[["x","1"]]]'))
    ]
    whole = json.dumps(short, separators=(",", ":"))
    assert fingerprint(lines) == hashlib.sha256(whole.encode()).hexdigest()


@law(lines=LINES)
def test_the_order_of_lines_and_facts_does_not_count(lines: dict[str, list[tuple[str, str]]]) -> None:
    turned = {code: list(reversed(facts)) for code, facts in reversed(lines.items())}
    assert fingerprint(stood(lines)) == fingerprint(stood(turned))


@law(lines=LINES, more=st.sampled_from(["holds", "stale"]))
def test_one_fact_more_is_another_review_and_names_its_line(
    lines: dict[str, list[tuple[str, str]]], more: str
) -> None:
    code = next(iter(lines))
    then, now = stood(lines), stood({**lines, code: [*lines[code], ("one more", more)]})
    assert fingerprint(then) != fingerprint(now)
    assert changed_since(digests(then), digests(now)) == (code,)


def test_a_line_that_is_new_and_one_that_is_gone_are_named() -> None:
    then, now = digests(stood({"sizes": [], "seams": []})), digests(stood({"weight": [], "sizes": []}))
    assert changed_since(then, now) == ("weight", "seams")


@law(lines=LINES)
def test_nothing_changed_where_nothing_did(lines: dict[str, list[tuple[str, str]]]) -> None:
    assert changed_since(digests(stood(lines)), digests(stood(lines))) == ()
