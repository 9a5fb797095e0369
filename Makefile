# One command runs the main job (make demo), one passes the tests (make test); both make the environment.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.made

export OMP_NUM_THREADS ?= 1
export OPENBLAS_NUM_THREADS ?= 1

.PHONY: demo test lint types check benchmark clean

$(STAMP): pyproject.toml constraints.txt
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "layfigure needs Python 3.11 or newer; name one with: make PYTHON=python3.12 $(MAKECMDGOALS)"; exit 1; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[dev]'
	@touch $@

demo: $(STAMP)
	$(BIN)/layfigure make examples/brindle --out out/brindle

test: $(STAMP)
	$(BIN)/python -m pytest -n auto -q

lint: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(STAMP)
	$(BIN)/mypy

check: lint types test

benchmark: $(STAMP)
	$(BIN)/python -m benchmarks

clean:
	rm -rf $(VENV) out
