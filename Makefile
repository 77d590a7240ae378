# Spoolbook: `make demo` and `make test` are all that a newcomer needs.
PORT ?= 8000
export PORT PYTHON

.PHONY: help .venv
help:
	@echo "make demo    serve the invented demo job on http://127.0.0.1:$(PORT)"

.venv:
	@bash .ci/environment.sh
