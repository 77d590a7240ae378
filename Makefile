# Spoolbook: `make demo` and `make test` are all that a newcomer needs.
PORT ?= 8000
export PORT PYTHON

.PHONY: help .venv demo test check bench soak mutants screenshots lock clean

help:
	@echo "make demo    serve the invented demo job on http://127.0.0.1:$(PORT) (PORT=, DATABASE_URL=)"
	@echo "make test    the whole suite: SQLite, PostgreSQL and the browser"
	@echo "make check   linters, types, import order, migrations, triggers, deployment"
	@echo "make bench   the benchmarks, written to bench/results.json"
	@echo "make soak    the long proofs, and 500 mutants of the rules"
	@echo "make mutants SAMPLE=500 DRAW=1  how many small changes of the rules a test notices; all without SAMPLE (hours)"
	@echo "make screenshots  the pictures of the documents, from the demo job, in Chromium"
	@echo "make lock    resolve pyproject.toml into requirements.lock again"
	@echo "make clean   remove the environment, caches and collected files; data/ stays"

.venv:
	@bash .ci/environment.sh

demo: .venv
	@bash .ci/demo.sh

test: .venv
	@bash .ci/test.sh

check: .venv
	@bash .ci/check.sh

bench: .venv
	@.venv/bin/python -m bench

soak: .venv
	@.venv/bin/python -m pytest -m soak -s tests
	@$(MAKE) --no-print-directory mutants SAMPLE=$(or $(SAMPLE),500)

mutants: .venv
	@nice -n 10 .venv/bin/python -m bench.mutants $(if $(SAMPLE),--sample $(SAMPLE)) $(if $(DRAW),--draw $(DRAW))

screenshots: .venv
	@.venv/bin/python -m docs.make_screenshots

lock:
	@UV_PYTHON_DOWNLOADS=never .venv/bin/uv pip compile pyproject.toml --all-extras --upgrade --generate-hashes --no-header --no-annotate --python-version 3.11 --quiet --output-file requirements.lock

clean:
	rm -rf .venv staticfiles .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
