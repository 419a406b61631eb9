# make run      set up, work the demo's order 421M out, write its papers, serve the pages (SERVE=0 ends after the papers)
# make test     everything that must hold before a change counts
# make bench    measured ratios against their limits
# make trust    hold the strength models against each other and another solver again, and write the page that says so
# make lint     style, types and import rules only
# make lock     renew the lock files
# make clean    remove all that was made

PYTHON ?= python3
ORDER ?= 421M
OUT ?= out/$(ORDER)
PORT ?= 8421
SERVE ?= 1
SOLIDS ?= 0
BIN := .venv/bin
LOCK := $(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --only-binary :all: \
	--no-emit-index-url --no-emit-build-options --no-header --no-annotate

.PHONY: run test bench trust lint lock clean
.DEFAULT_GOAL := run
.SILENT:

run:
	$(PYTHON) tools/set_up.py $(if $(filter 1,$(SOLIDS)),solids,run)
	$(BIN)/plowwright build $(ORDER) --demo --out $(OUT)
	if [ "$(SERVE)" != 0 ]; then exec $(BIN)/plowwright serve --demo --port $(PORT); fi

test:
	$(PYTHON) tools/set_up.py test
	$(MAKE) --no-print-directory lint
	echo "Running the tests ..."
	$(BIN)/python -m pytest -n 2 -q

lint:
	$(PYTHON) tools/set_up.py test
	echo "Checking style, types and import rules ..."
	$(BIN)/ruff check
	$(BIN)/pyright
	$(BIN)/lint-imports --no-logo

bench:
	$(PYTHON) tools/set_up.py test
	echo "Measuring ..."
	$(BIN)/python -m bench.run

trust:
	$(PYTHON) tools/set_up.py test
	echo "Holding the strength models against each other ..."
	$(BIN)/python -m tools.trust_page

lock:
	$(PYTHON) tools/set_up.py test
	echo "Renewing the lock files ..."
	$(LOCK) --upgrade pyproject.toml requirements.in -o requirements.lock
	$(LOCK) --upgrade pyproject.toml requirements.in --extra solids -c requirements.lock -o requirements-solids.lock
	$(LOCK) --upgrade pyproject.toml requirements.in requirements-test.in --all-extras -c requirements-solids.lock \
		-o requirements-test.lock
	$(LOCK) --upgrade requirements-node.in -o requirements-node.lock
	$(subst --only-binary :all:,--no-deps,$(LOCK)) --upgrade requirements-source.in -o requirements-source.lock
	npm install --package-lock-only --omit-lockfile-registry-resolved --ignore-scripts --loglevel=error

clean:
	rm -rf .venv node_modules out build dist src/plowwright/web/static/vendor src/plowwright/papers/fonts
	rm -rf .pytest_cache .ruff_cache .import_linter_cache .hypothesis
	find src tests bench tools -name __pycache__ -type d -prune -exec rm -rf {} +
	echo "Removed .venv, node_modules, out and everything fetched or made."
