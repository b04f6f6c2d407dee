# Two commands do everything: make demo, make test. Both install what they need into .venv from the lock files.
PYTHON ?= python3.11
BIN := .venv/bin

# Tests start the desk and the commands many times over: what is compiled once is kept, whatever the shell says of it.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: demo test lint walls types unit fuzz kill audit evidence tables pictures examples lock clean

.venv/run.stamp: requirements/run.lock pyproject.toml
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/run.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

.venv/test.stamp: requirements/test.lock .venv/run.stamp
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/test.lock
	touch $@

# The browser tests drive the Chromium of the system; no browser is fetched from elsewhere.
.venv/browser.stamp: .venv/test.stamp
	@if ! command -v chromium >/dev/null && ! command -v chromium-browser >/dev/null; then \
	  if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then apt-get update -qq && apt-get install -qq -y chromium; \
	  else echo "Chromium is missing: install the package chromium, then run make again." >&2; exit 1; fi; fi
	touch $@

demo: .venv/run.stamp
	$(BIN)/gristwright advise examples/all-malt-pot/enquiry.toml --lots examples/all-malt-pot/lots.csv --out out
	@echo "The desk, in the browser on this machine only: $(BIN)/gristwright serve"

test: lint walls types unit

lint: .venv/test.stamp
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

walls: .venv/test.stamp
	$(BIN)/lint-imports

types: .venv/test.stamp
	$(BIN)/mypy

unit: .venv/test.stamp .venv/browser.stamp
	$(BIN)/python -m pytest -n auto --dist loadfile

# Attacks readers, records, commands and the forms of the desk for a while: MINUTES=10, SEED=1, OVER=reader,form (all when not
# given). What it finds lies in build/fuzz; it ends with 1 then. docs/reliability.md holds the figures.
MINUTES ?= 10
SEED ?= 1
fuzz: .venv/test.stamp
	$(BIN)/python tests/fuzz/attack.py --minutes $(MINUTES) --seed $(SEED) --over "$(OVER)"

.venv/audit.stamp: requirements/audit.lock
	test -x .venv/audit/bin/python || $(PYTHON) -m venv .venv/audit
	.venv/audit/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/audit.lock
	touch $@

# Holds the lock files against known advisories; ends with 3 where the database that knows them cannot be reached.
audit: .venv/audit.stamp
	.venv/audit/bin/python requirements/audit.py

# Ends runs, workers and desks without a word at seeded moments, and looks at what they left (docs/desk.md).
KILLS ?= 200
kill: .venv/test.stamp
	$(BIN)/python tests/kills.py $(KILLS)

# Writes docs/evidence.md, the pages below it and their pictures anew from tests/outside; a test fails when one is out of date.
# Names the rows that come out otherwise than their files say; make evidence PIN=--pin writes that into the files first.
evidence: .venv/test.stamp
	$(BIN)/python tests/outside/evidence.py $(PIN)

# Writes the tables of fields in docs/files.md, docs/vary.md and docs/certificates.md anew, and what the cask misses in docs/cask.md.
tables: .venv/run.stamp
	$(BIN)/python docs/fields.py

# Draws the pictures of the README, the docs and every scenario anew; those of the evidence come with make evidence.
pictures: .venv/browser.stamp
	$(BIN)/python docs/pictures/make.py
	$(BIN)/python docs/pictures/desk.py

# Writes the Excel certificates of the examples anew.
examples: .venv/test.stamp
	$(BIN)/python examples/make_workbooks.py

# Needs uv; the lock files are plain text that stock pip installs.
lock:
	uv pip compile --quiet --python-version 3.11 --generate-hashes --no-emit-index-url --custom-compile-command "make lock" requirements/run.in -o requirements/run.lock
	uv pip compile --quiet --python-version 3.11 --generate-hashes --no-emit-index-url --custom-compile-command "make lock" requirements/test.in -o requirements/test.lock
	uv pip compile --quiet --python-version 3.11 --generate-hashes --no-emit-index-url --custom-compile-command "make lock" requirements/audit.in -o requirements/audit.lock

clean:
	rm -rf .venv out build .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
