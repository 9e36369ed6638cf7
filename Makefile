.DEFAULT_GOAL := help
VENV := .venv
PY := $(VENV)/bin/python
export UV_SYSTEM_CERTS := true
export UV_PYTHON_DOWNLOADS := never
unexport VIRTUAL_ENV

.PHONY: help run test test-long check lock clean

help: ## show this list
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed 's/:.*## /\t/'

$(VENV)/.dev: requirements-dev.lock pyproject.toml
	@python3 -c 'import ensurepip' 2>/dev/null || { echo "python3 lacks venv: install the package python3-venv, then run make again"; exit 1; }
	@test -x $(PY) || python3 -m venv $(VENV)
	@echo "setting up (once) ..."
	@{ $(PY) -m pip install -q --disable-pip-version-check uv \
	   && $(VENV)/bin/uv pip install -q --python $(PY) --require-hashes --only-binary :all: -r requirements-dev.lock \
	   && $(VENV)/bin/uv pip install -q --python $(PY) --no-deps --no-build-isolation -e . ; } \
	 || { echo "uv did not manage; plain pip takes over (slower)"; \
	      $(PY) -m pip install -q --disable-pip-version-check --require-hashes --only-binary :all: -r requirements-dev.lock \
	      && $(PY) -m pip install -q --disable-pip-version-check --no-deps --no-build-isolation -e . ; }
	@touch $@

test: $(VENV)/.dev ## set up and run the tests
	$(PY) -m pytest -n 2 -m "not long"

check: $(VENV)/.dev ## format, lint, types, direction of imports
	$(VENV)/bin/ruff format --check . && $(VENV)/bin/ruff check . && $(VENV)/bin/mypy && $(VENV)/bin/lint-imports

clean: ## remove what was set up
	rm -rf $(VENV) out build dist
