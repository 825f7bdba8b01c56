"""The house keeps its own rules: arrows, sizes, what is declared, what may not be named."""

from __future__ import annotations

import ast
import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import packages_distributions
from pathlib import Path

import grimp
import pytest

TOP = Path(__file__).resolve().parents[1]
SOURCE = TOP / "src" / "offtool"
SOURCES = sorted(SOURCE.rglob("*.py"))

NOT_OURS = {".git", ".venv", "__pycache__", "node_modules", "build", "dist", ".cache", ".hypothesis"}
NOT_TEXT = {".ttf", ".woff2", ".png", ".xlsx", ".pdf", ".sqlite3", ".pyc"}

LONGER_WITH_REASON = {
    "records/migrations/0001_initial.py": "written by Django: the whole record at once",
    "records/migrations/0001_whole.py": "written by Django: the whole record of today at once",
    "records/migrations/0002_inspection.py": "written by Django: six tables and their histories at once",
    "records/migrations/0004_joints_and_seams.py": "written by Django: nine tables and their histories",
    "records/migrations/0005_samples.py": "written by Django: sixteen tables and their histories",
    "records/migrations/0006_planning.py": "written by Django: eight tables, new columns and their histories",
    "records/migrations/0007_pilot.py": "written by Django: pilot and release with their histories",
}
"""A source of more than 400 lines, and why it is not split."""

NEVER_IMPORTED = {
    "lxml": "trimesh reads 3MF with it",
    "manifold3d": "its wheel does not say which module it brings; the silhouette imports it",
    "networkx": "trimesh needs it for the scene of a 3MF",
    "psycopg": "Django opens PostgreSQL with it",
    "tzdata": "the standard library's time zones on Windows",
}
"""A declared dependency that no source names, and why it is there."""


def sources_shown(path: Path) -> str:
    return path.relative_to(TOP).as_posix()


def our_text_files() -> Iterator[tuple[str, str]]:
    for folder, names, files in os.walk(TOP):
        names[:] = [name for name in names if name not in NOT_OURS and not name.endswith("_cache")]
        for file in files:
            path = Path(folder, file)
            if path.suffix not in NOT_TEXT:
                yield sources_shown(path), path.read_bytes().decode("utf-8", errors="replace")


def lint_imports(folder: Path) -> subprocess.CompletedProcess[str]:
    program = shutil.which("lint-imports", path=str(Path(sys.executable).parent))
    assert program, "import-linter is not installed beside this Python"
    environment = {**os.environ, "PYTHONPATH": str(folder / "src"), "COLUMNS": "200"}
    command = [program, "--no-cache", "--no-logo"]
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def copy_of_the_house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("house")
    shutil.copy(TOP / "pyproject.toml", folder)
    no_fonts = shutil.ignore_patterns("__pycache__", "fonts", "static")
    shutil.copytree(SOURCE, folder / "src" / "offtool", ignore=no_fonts)
    return folder


@pytest.mark.parametrize(
    ("where", "planted"),
    [
        ("core/values.py", "import django"),
        ("core/values.py", "import pathlib"),
        ("core/values.py", "import offtool.records"),
        ("core/inspection/__init__.py", "import offtool.core.correction"),
        ("handbook/__init__.py", "import sqlite3"),
        ("exchange/__init__.py", "import django"),
        ("exchange/__init__.py", "import offtool.core.inspection"),
        ("records/__init__.py", "import offtool.exchange"),
        ("records/__init__.py", "import offtool.core.correction"),
        ("steps/__init__.py", "import offtool.reports"),
        ("reports/__init__.py", "import offtool.web"),
        ("web/__init__.py", "import offtool.cli"),
    ],
)
def test_the_import_contract_sees_a_forbidden_arrow(
    copy_of_the_house: Path, where: str, planted: str
) -> None:
    planted_in = copy_of_the_house / "src" / "offtool" / where
    clean = planted_in.read_text(encoding="utf-8")
    try:
        planted_in.write_text(f"{clean}\n{planted}\n", encoding="utf-8")
        finding = lint_imports(copy_of_the_house)
    finally:
        planted_in.write_text(clean, encoding="utf-8")
    importer = ".".join(["offtool", *Path(where).with_suffix("").parts]).removesuffix(".__init__")
    assert finding.returncode == 1, finding.stdout + finding.stderr
    assert f"{importer} -> {planted.removeprefix('import ')} " in finding.stdout


def test_the_import_contract_is_kept() -> None:
    finding = lint_imports(TOP)
    assert finding.returncode == 0, finding.stdout + finding.stderr


def test_only_steps_know_both_the_record_and_the_mathematics() -> None:
    graph = grimp.build_graph("offtool", cache_dir=None)
    mathematics = {m for m in graph.find_descendants("offtool.core") if m != "offtool.core.values"}
    record = {"offtool.records", *graph.find_descendants("offtool.records")}
    assert mathematics
    assert record
    know_both = {
        module
        for module in graph.modules
        if (direct := graph.find_modules_directly_imported_by(module)) & mathematics and direct & record
    }
    assert {module for module in know_both if not module.startswith("offtool.steps.")} == set()


def test_help_is_answered_without_numpy_or_django() -> None:
    ask = (
        "import sys; sys.argv = ['offtool', '--help']\n"
        "from offtool.cli import main\n"
        "try:\n    main()\n"
        "finally:\n    print('loaded:', sorted({'numpy', 'scipy', 'django', 'typst'} & set(sys.modules)))"
    )
    answer = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True)
    assert "Usage" in answer.stdout
    assert "loaded: []" in answer.stdout


@pytest.mark.parametrize("path", SOURCES, ids=sources_shown)
def test_every_source_parses_on_the_oldest_python(path: Path) -> None:
    ast.parse(path.read_text(encoding="utf-8"), filename=str(path), feature_version=(3, 11))


def test_no_source_needs_a_table_of_contents() -> None:
    lengths = {path.relative_to(SOURCE).as_posix(): path.read_text("utf-8").count("\n") for path in SOURCES}
    too_long = {name: lines for name, lines in lengths.items() if lines > 400}
    assert too_long.keys() == LONGER_WITH_REASON.keys(), too_long


def test_no_file_names_a_package_host_or_a_path_of_one_machine() -> None:
    hosts = ["pypi" + ".org", "python" + "hosted", "registry." + "npm", "npm" + "js", "deb." + "debian"]
    machine = "(?<![\\w.~-])/(?:work|root|home|Users)" + "/"
    forbidden = re.compile("|".join([*map(re.escape, hosts), machine]))
    found = {f"{name}: {hit.group()}" for name, text in our_text_files() if (hit := forbidden.search(text))}
    assert found == set()


def top_level_imports() -> set[str]:
    found: set[str] = set()
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {name.name.split(".")[0] for name in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                found.add(node.module.split(".")[0])
    return found - set(sys.stdlib_module_names) - {"offtool", "__future__"}


def declared_dependencies() -> set[str]:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"].values()
    lines = project["dependencies"] + [line for extra in extras for line in extra]
    return {re.split(r"[\[<>=!~; ]", line)[0].lower() for line in lines}


def test_every_import_is_declared() -> None:
    owners = packages_distributions()
    used = {module: {name.lower() for name in owners.get(module, [module])} for module in top_level_imports()}
    declared = declared_dependencies()
    assert {module for module, names in used.items() if not names & declared} == set()


def test_every_declared_dependency_is_used_or_has_a_reason() -> None:
    text = "\n".join(path.read_text(encoding="utf-8") for path in SOURCES)
    used = {
        name.lower()
        for module, names in packages_distributions().items()
        if re.search(rf"(?:import|from)\s+{module}\b|[\"']{module}\.", text)
        for name in names
    }
    assert declared_dependencies() - used == NEVER_IMPORTED.keys()
