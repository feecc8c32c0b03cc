# make demo     the whole job on the shipped scenario; its papers go to demo-out/
# make test     every test (ARGS=... goes to pytest)
# make test-postgresql   the app's tests on a PostgreSQL of their own
# make check    format, lint, types, import layers, then the tests
# make bench    what a user waits for, timed (ARGS=... names single ones)
# make format   put the code into its standard form
# make lock     work the locked requirements out again (ARGS=--upgrade for newer ones)
# make venv     everything for development, in .venv
# make clean    remove .venv and all that these commands made
#
# PYTHON=... chooses the Python that .venv is made with, 3.11 or newer.

PYTHON ?= python3
BIN := .venv/bin
PIP := $(BIN)/python -m pip --quiet --disable-pip-version-check
LOCK := CUSTOM_COMPILE_COMMAND="make lock" $(BIN)/python -m piptools compile --quiet --strip-extras \
	--allow-unsafe --generate-hashes --no-emit-index-url --no-emit-find-links

.PHONY: help demo test test-postgresql check bench format lock venv clean

help:
	@sed -n 's/^# make/make/p' Makefile

demo: .venv/runtime.stamp
	$(BIN)/pathproof demo

test: .venv/dev.stamp
	$(BIN)/python -m pytest $(ARGS)

test-postgresql: .venv/dev.stamp
	scripts/with-postgresql $(BIN)/python -m pytest tests/web $(ARGS)

check: .venv/dev.stamp
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo
	@$(MAKE) --no-print-directory test

bench: .venv/dev.stamp
	$(BIN)/python -m benchmarks $(ARGS)

format: .venv/dev.stamp
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

lock: .venv/dev.stamp
	$(LOCK) --build-deps-for editable $(ARGS) --output-file requirements/runtime.txt pyproject.toml
	$(LOCK) $(ARGS) --output-file requirements/dev.txt requirements/dev.in

venv: .venv/dev.stamp

clean:
	rm -rf .venv demo-out dist .hypothesis .import_linter_cache .mypy_cache .pytest_cache .ruff_cache
	find src tests benchmarks -name __pycache__ -prune -exec rm -rf {} +

# A stamp stands for a finished step. .venv is made anew where an install was cut short (it leaves
# .venv/unfinished behind) and where the folder has moved since.
ifneq ($(shell cat .venv/made.stamp 2>/dev/null)$(wildcard .venv/unfinished),$(CURDIR))
.PHONY: .venv/made.stamp
endif

PYTHON_NAME = $$("$(PYTHON)" -c 'import sys; print("python%d.%d" % sys.version_info[:2])')

.venv/made.stamp:
	@"$(PYTHON)" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
		echo 'Pathproof needs Python 3.11 or newer: name one with `make PYTHON=...`.' >&2; exit 1; }
	@"$(PYTHON)" -c 'import ensurepip' 2>/dev/null || { \
		echo "No virtual environment can be made yet: run 'apt install $(PYTHON_NAME)-venv' as root," \
		"then make again." >&2; exit 1; }
	@rm -f .venv/*.stamp
	"$(PYTHON)" -m venv --clear .venv
	@echo '$(CURDIR)' > $@

.venv/runtime.stamp: .venv/made.stamp requirements/runtime.txt pyproject.toml
	@touch .venv/unfinished
	$(PIP) install --require-hashes -r requirements/runtime.txt
	$(PIP) install --no-deps --no-build-isolation -e .
	@rm .venv/unfinished
	@touch $@

.venv/dev.stamp: .venv/runtime.stamp requirements/dev.txt
	@touch .venv/unfinished
	$(PIP) install --require-hashes -r requirements/dev.txt
	@rm .venv/unfinished
	@touch $@
