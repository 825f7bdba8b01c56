# Each target works from a bare checkout with Python 3.11 or newer and make: the virtual environment is made
# from the hashed locks, and made anew when they change. Another Python: make test PYTHON=python3.13

PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
PIP    := $(BIN)/python -m pip install --quiet --disable-pip-version-check
LOCKED := $(PIP) --only-binary=:all: --require-hashes -r
LOCK   := $(BIN)/uv pip compile pyproject.toml --extra pg --extra geometry --extra optim --extra cluster --group build --universal \
          --python-version 3.11 --fork-strategy fewest --only-binary :all: --generate-hashes --quiet --custom-compile-command "make lock"
RUN    := $(VENV)/run.stamp
DEV    := $(VENV)/dev.stamp

# Matrices here are small: a second thread of the linear algebra makes them slower.
export OPENBLAS_NUM_THREADS ?= 1

# Byte code is kept, wherever the user's shell says otherwise: a command need not compile the program anew.
unexport PYTHONDONTWRITEBYTECODE

.DEFAULT_GOAL := help
.PHONY: help demo serve test check bench coverage loops samples lock clean

help: ## what can be made, one line each
	@sed -n 's/^\([a-z]*\):.*## \(.*\)/make \1\t\2/p' $(MAKEFILE_LIST) | expand -t 14

demo: $(RUN) ## the invented programme: read a third trial, say what holds, write the corrections
	$(BIN)/offtool demo

serve: $(RUN) ## the pages, for this computer
	$(BIN)/offtool serve

test: $(DEV) ## every test
	$(BIN)/pytest -n 2 $(PYTEST)

check: $(DEV) ## style, types, the import contract, and the guides run as tests
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo
	$(BIN)/pytest -n 2 tests/test_docs.py

bench: $(DEV) ## speed and memory beside plain baselines
	$(BIN)/python -m benchmarks

coverage: $(DEV) ## how often every printed interval holds what it claims, in worlds whose truth is known
	$(BIN)/python -m tests.coverage

loops: $(DEV) ## the program against the virtual moulder, loop by loop, beside three other rules
	$(BIN)/python -m tests.virtual_moulder

samples: $(DEV) ## the program against a virtual archive of pieces, beside the exact answer and two simple rules
	$(BIN)/python -m tests.virtual_archive

lock: $(DEV) ## compile the locks anew after a change of pyproject.toml
	$(LOCK) --output-file requirements/run.txt
	$(LOCK) --group dev --constraints requirements/run.txt --output-file requirements/dev.txt

clean: ## remove the environment and all caches
	rm -rf $(VENV) build dist .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	find src tests -name __pycache__ -type d -prune -exec rm -rf {} +

$(RUN): requirements/run.txt
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Python 3.11 or newer is needed; name one: make PYTHON=python3.12")'
	rm -rf $(VENV)
	$(PYTHON) -m venv $(VENV)
	$(LOCKED) requirements/run.txt
	$(PIP) --no-deps --no-build-isolation --editable .
	@touch $@

$(DEV): requirements/dev.txt $(RUN)
	$(LOCKED) requirements/dev.txt
	@touch $@
