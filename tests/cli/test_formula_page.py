"""The page of formulas in the guides is what the registry says today."""

from __future__ import annotations

import pytest
from tools.make_formula_pages import PAGE, formula_page

from offtool.core.formulas import all_formulas


def test_the_page_of_formulas_is_up_to_date(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "100")  # as wide as the guides are run
    assert PAGE.read_text(encoding="utf-8") == formula_page(), "run python tools/make_formula_pages.py"


def test_every_formula_has_its_place_on_the_page() -> None:
    page = formula_page()
    assert [name for name in all_formulas() if f"\n### {name}\n" not in page] == []
