.DEFAULT_GOAL := help
VENV := .venv
PY := $(VENV)/bin/python
OUT ?= out
export UV_SYSTEM_CERTS := true
export UV_PYTHON_DOWNLOADS := never
unexport VIRTUAL_ENV

# $(call install,LOCK): install a hashed lock and the program; plain pip takes over where uv fails
define install
@python3 -c 'import ensurepip' 2>/dev/null || \
  { echo "This python3 has no venv; install the package python3-venv and run make again."; exit 1; }
@test -x $(PY) || python3 -m venv $(VENV)
@echo "Setting up from $(1) (once) ..."
@{ $(PY) -m pip install -q --disable-pip-version-check --require-hashes --only-binary :all: -r requirements-installer.lock \
   && $(VENV)/bin/uv pip install -q --python $(PY) --require-hashes --only-binary :all: -r $(1) \
   && $(VENV)/bin/uv pip install -q --python $(PY) --require-hashes --only-binary :all: -r requirements-build.lock \
   && $(VENV)/bin/uv pip install -q --python $(PY) --no-deps --no-build-isolation -e . ; } \
 || { echo "uv did not manage; plain pip takes over, which is slower."; \
      $(PY) -m pip install -q --disable-pip-version-check --require-hashes --only-binary :all: -r $(1) \
      && $(PY) -m pip install -q --disable-pip-version-check --require-hashes --only-binary :all: -r requirements-build.lock \
      && $(PY) -m pip install -q --disable-pip-version-check --no-deps --no-build-isolation -e . ; }
endef

.PHONY: help run stop workbench test test-long check bench lock docs clean

help: ## show this list
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed 's/:.*## /\t/' | expand -t 12

$(VENV)/.run: requirements.lock requirements-build.lock requirements-installer.lock pyproject.toml
	$(call install,requirements.lock)
	@touch $@

$(VENV)/.dev: requirements-dev.lock requirements-build.lock requirements-installer.lock pyproject.toml
	$(call install,requirements-dev.lock)
	@touch $@ $(VENV)/.run

run: $(VENV)/.run ## set up, plan the five invented cases, and open the workbench with them
	@$(PY) -P -m thumbwright demo --out $(OUT)
	@echo
	@$(PY) -P -m thumbwright serve --store $(OUT)/workbench --demo $(OUT)/cases --background
	@echo "or: make stop"

stop: ## close the workbench that make run opened
	@test ! -x $(PY) || $(PY) -P -m thumbwright serve --store $(OUT)/workbench --stop

workbench: $(VENV)/.run ## set up and open the workbench with the five invented cases, in front
	@$(PY) -P -m thumbwright serve --store $(OUT)/workbench --demo $(OUT)/cases

test: $(VENV)/.dev ## set up and run the tests
	$(PY) -m pytest -n 2 -m "not long"

test-long: $(VENV)/.dev ## the slow evidence: studies on phantoms, fuzzing (an hour or so)
	$(PY) -m pytest -n 2 -m long
	$(PY) tools/study_transposition.py --people 1000 --write

check: $(VENV)/.dev ## format, lint, types, direction of imports
	$(VENV)/bin/ruff format --check .
	$(VENV)/bin/ruff check .
	$(VENV)/bin/mypy
	$(VENV)/bin/lint-imports

bench: $(VENV)/.dev ## times and memory, each against a limit or a named peer in the same run
	@for file in benchmarks/*.py; do echo "== $$file"; $(PY) $$file || exit 1; done

docs: $(VENV)/.dev ## write what is generated in docs/ anew
	@for file in tools/write_*.py; do $(PY) $$file || exit 1; done

COMPILE = $(VENV)/bin/uv pip compile --universal --generate-hashes --no-annotate --python-version 3.11 \
  --only-binary :all: --custom-compile-command "make lock" -q
lock: ## resolve the dependencies anew into the hashed locks
	$(COMPILE) pyproject.toml -o requirements.lock
	$(COMPILE) pyproject.toml --group dev -o requirements-dev.lock
	$(COMPILE) --group build -o requirements-build.lock
	$(COMPILE) --group installer -o requirements-installer.lock

clean: ## remove what was set up and made
	rm -rf $(VENV) $(OUT)
