# Midcase. `make demo` runs the program on an invented shop; `make test` runs every
# test. Both install what they need and are quick the second time.
SHELL := /bin/sh
.DEFAULT_GOAL := build
BIN := bin/midcase
LICENCES := internal/licences/gathered/texts.json
GO_FILES := $(shell find . -name '*.go' -not -path './node_modules/*' -not -path './web/node_modules/*' 2>/dev/null)
DATA_FILES := $(shell find internal condition refbook web/static -type f -not -name '*.go' 2>/dev/null)
ADDR ?= 127.0.0.1:0
# Picture decoders run inside the program, never a library that happens to be installed.
export GOFLAGS ?= -tags=nodynamic

.PHONY: demo build test lint bench generate fonts clean

demo: build ## make the invented shop where it is missing, serve it, open the browser
	@$(BIN) demo --addr $(ADDR)

build: fonts $(BIN) ## bin/midcase

$(BIN): $(GO_FILES) $(DATA_FILES) go.mod go.sum web/dist/.stamp $(LICENCES)
	@scripts/need go
	@echo "building midcase (the first build takes a minute or two)"
	@go build -trimpath -o $(BIN) ./cmd/midcase

fonts: web/dist/.stamp ## fonts and islands for the pages, from npm

web/dist/.stamp: web/package.json web/package-lock.json web/build.mjs $(shell find web/islands -name '*.ts' 2>/dev/null)
	@scripts/need node npm
	@echo "preparing fonts and islands"
	@cd web && npm ci --silent --no-audit --no-fund && node build.mjs
	@touch $@

$(LICENCES): go.mod go.sum web/package-lock.json web/dist/.stamp
	@scripts/need go
	@echo "gathering licences"
	@go run ./internal/licences/gather

generate: ## pages from their templates, schemas from their types, NOTICE from go.mod
	@go tool templ generate -log-level error
	@go run ./internal/licences/gather -notice

test: ## all checks and tests; installs what is missing with apt
	@scripts/test

lint:
	@scripts/lint

bench: ## benchmarks and studies; figures go to docs/performance.md
	@scripts/bench

clean:
	@rm -rf bin web/dist/* web/node_modules e2e/node_modules $(LICENCES)
