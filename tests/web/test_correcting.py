"""Deciding on a correction through the pages, and the steel as it was measured again."""

from __future__ import annotations

import json
import re

from django.test import Client

from offtool.records.models import Correction, Prediction, SteelSize, ToolState
from tests.web.rendering import faults


def keys(html: str) -> list[str]:
    """What the ticks on the page say."""
    from html import unescape

    return [unescape(key) for key in re.findall(r'name="chosen" value="([^"]*)"', html)]


def decide(client: Client, trial: str, chosen: list[str]) -> str:
    answer = client.post(f"{trial}correction/", {"chosen": chosen, "made_by": "tooling"}, follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def test_only_ticked_changes_are_decided_with_their_predictions(client: Client, trial: str) -> None:
    offered = keys(client.get(f"{trial}correction/").content.decode())
    assert len(offered) > 2
    html = decide(client, trial, offered[:2])
    assert "2 changes are decided." in html
    kept = {
        (one.feature.code, one.cavity.label) for one in Correction.objects.select_related("feature", "cavity")
    }
    assert kept == {tuple(json.loads(key)) for key in offered[:2]}
    assert set(Correction.objects.values_list("made_by", flat=True)) == {"tooling"}
    assert Prediction.objects.count() == 2
    assert set(keys(html)) == set(offered[2:])
    assert faults(html) == []


def test_nothing_ticked_is_said_and_the_name_is_not_lost(client: Client, trial: str) -> None:
    answer = client.post(f"{trial}correction/", {"made_by": "tooling"})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert "Tick at least one change." in html
    assert 'value="tooling"' in html
    assert " checked" not in html
    assert not Correction.objects.exists()


def test_a_tick_that_was_never_offered_is_refused(client: Client, trial: str) -> None:
    for chosen in ('["F99", "1"]', "[]", "x", '["F12"]'):
        answer = client.post(f"{trial}correction/", {"chosen": chosen})
        assert answer.status_code == 422
    assert not Correction.objects.exists()


def test_the_same_change_is_not_decided_twice(client: Client, trial: str) -> None:
    offered = keys(client.get(f"{trial}correction/").content.decode())
    decide(client, trial, offered)
    answer = client.post(f"{trial}correction/", {"chosen": offered[:1]})
    assert answer.status_code == 422
    assert Correction.objects.count() == len(offered)


def steel_given(**measured: str) -> dict[str, str]:
    return {"steel-uncertainty_mm": "0,003", **{f"steel-{name}": value for name, value in measured.items()}}


def test_steel_measured_again_makes_the_next_state(client: Client, trial: str) -> None:
    decide(client, trial, keys(client.get(f"{trial}correction/").content.decode())[:2])
    first, second = Correction.objects.order_by("pk")
    given = steel_given(**{f"measured-{first.pk}": f"{first.size_after_mm - 0.004:.3f}".replace(".", ",")})
    answer = client.post(f"{trial}correction/", given, follow=True)
    assert answer.redirect_chain == [("/p/harbour-otter/#tool-M2", 302)]
    assert "Tool M2 is in state b now." in answer.content.decode()
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.status, second.status) == ("cut", "proposed")
    state = ToolState.objects.get(label="b")
    steel = SteelSize.objects.get(state=state, feature=first.feature, cavity=first.cavity)
    assert steel.measured_mm == round(first.size_after_mm - 0.004, 3)
    html = client.get(f"{trial}correction/").content.decode()
    assert "Cut already" in html
    assert f'name="steel-measured-{second.pk}"' in html
    assert f'name="steel-measured-{first.pk}"' not in html


def test_no_steel_given_is_said_at_the_form(client: Client, trial: str) -> None:
    decide(client, trial, keys(client.get(f"{trial}correction/").content.decode())[:1])
    answer = client.post(f"{trial}correction/", steel_given())
    assert answer.status_code == 422
    assert "no steel was measured again" in answer.content.decode()
    assert ToolState.objects.count() == 1


def test_wrong_steel_is_said_at_its_field_with_what_was_typed(client: Client, trial: str) -> None:
    decide(client, trial, keys(client.get(f"{trial}correction/").content.decode())[:2])
    first, second = Correction.objects.order_by("pk")
    given = steel_given(**{f"measured-{first.pk}": "4.0x", f"allowance-{second.pk}": "0.05"})
    answer = client.post(f"{trial}correction/", given)
    html = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="4.0x"' in html
    assert "Give a number, such as 4.02." in html
    assert "Give the steel as measured, too." in html
    assert faults(html) == []
    assert ToolState.objects.count() == 1


def test_steel_is_named_on_its_page_and_then_the_size_can_be_corrected(client: Client, trial: str) -> None:
    from offtool.records.models import Move, SteelFeature

    Move.objects.filter(feature__code="F13").delete()
    SteelSize.objects.filter(feature__code="F13").delete()
    SteelFeature.objects.filter(code="F13").delete()
    assert "steel/HO-02/13/" in client.get(f"{trial}steel/").content.decode()
    given = {"feature": "CP13", "half": "core half", "stated": "diameter", "uncertainty_mm": "0.003"}

    missing = client.post(f"{trial}steel/HO-02/13/", {**given, "measured-0": "4,116"})
    assert missing.status_code == 422
    assert 'value="4,116"' in missing.content.decode()
    assert not SteelFeature.objects.filter(code="CP13").exists()

    core = "core, pin or blade: the part gets smaller when steel is removed"
    nothing = client.post(f"{trial}steel/HO-02/13/", {**given, "shape": core})
    assert "no steel was measured" in nothing.content.decode()

    measured = {"measured-0": "4,116", "allowance-0": "0,12", "measured-2": "4.115", "can_add": "on"}
    answer = client.post(f"{trial}steel/HO-02/13/", {**given, "shape": core, **measured})
    assert answer.url == f"{trial}steel/"
    made = SteelFeature.objects.get(code="CP13")
    assert (made.size_change_per_mm, made.can_add) == (-1.0, True)
    sizes = made.sizes.order_by("cavity__label").values_list("cavity__label", "measured_mm", "allowance_mm")
    assert list(sizes) == [("1", 4.116, 0.12), ("3", 4.115, 0.0)]
    assert client.get(f"{trial}steel/HO-02/13/").status_code == 404
