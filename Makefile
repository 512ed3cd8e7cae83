# Palewright: every target works from a fresh clone on a machine with git, make and Python 3.11.
PYTHON ?= python3.11
ifeq (, $(shell command -v $(PYTHON) 2>/dev/null))
PYTHON := python3
endif
BIN := .venv/bin
STAMP := .venv/.installed

.PHONY: setup demo test check lint types contract docs lock bench pictures clean

setup: $(STAMP)

$(STAMP): requirements.lock requirements-data.lock pyproject.toml
	$(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --no-deps -r requirements-data.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	$(BIN)/python -m compileall -q src
	touch $(STAMP)

demo: setup  ## run the main job on the example and say where the papers are
	$(BIN)/palewright plan examples/tansy-court.yaml --out out/tansy-court

test: setup
	$(BIN)/python -m pytest -n auto -q

check: lint types contract docs

lint: setup
	$(BIN)/ruff check src tests tools bench
	$(BIN)/ruff format --check src tests tools bench

types: setup
	$(BIN)/mypy

contract: setup
	$(BIN)/lint-imports

docs: setup  ## generated pages are fresh, and everything public is documented
	$(BIN)/python -m tools.docs --check
	$(BIN)/python -m pytest -q tests/docs

lock: setup  ## renew requirements.lock (needs uv)
	$(BIN)/python -m pip install --quiet uv
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --all-extras pyproject.toml -o requirements.lock
	$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-deps --group pyproject.toml:data -o requirements-data.lock

bench: setup
	$(BIN)/python -m bench

pictures: setup  ## the pictures that the README shows
	$(BIN)/python -m tools.pictures

clean:
	rm -rf out .mypy_cache .ruff_cache .pytest_cache .hypothesis
