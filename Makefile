# Needs Go, make and git. Everything else is installed by the targets that use
# it: a C compiler (for the race detector), Node.js with npm, HAProxy and glpsol by
# tools/need.sh where it may, which is as root on Debian; else it says what to
# install.

SHELL := bash
.SHELLFLAGS := -euo pipefail -c
MAKEFLAGS += --no-builtin-rules --no-print-directory
.DELETE_ON_ERROR:
.DEFAULT_GOAL := help

NPM_DIR   := tools/npm
NPM_STAMP := $(NPM_DIR)/node_modules/.package-lock.json
CLIENTS_STAMP := $(NPM_DIR)/clients/node_modules/.package-lock.json
BUF       := $(NPM_DIR)/node_modules/.bin/buf
GO_TOOL   := go tool -modfile=tools/go.mod
CONTRACT  := testdata/proto/contract.binpb

# RACE= on the command line runs the tests without the race detector.
RACE ?= -race
# How long each Fuzz target runs, and how many run at a time.
FUZZTIME ?= 30s
FUZZJOBS ?= 11
# Benchmarks to run, how often each, and a result to compare with.
BENCH ?= .
BENCHCOUNT ?= 6
BASE ?=

STAGES := tools-deps build lint check-generated test-tools test-clients test-race test-million test-solver test-ops fuzz-short

.PHONY: help
help: ## List the targets.
	@sed -n 's/^\([a-z-]*\):.*## \(.*\)/\1|\2/p' $(firstword $(MAKEFILE_LIST)) | \
		while IFS='|' read -r name text; do printf '  %-16s %s\n' "$$name" "$$text"; done

.PHONY: build
build: ## Build the static binary bin/ozeq.
	CGO_ENABLED=0 go build -trimpath -ldflags='-s -w' -o bin/ozeq ./cmd/ozeq

.PHONY: test
test: ## Run everything CI runs, stage by stage.
	@times=; for stage in $(STAGES); do \
		echo "== $$stage"; start=$$SECONDS; \
		$(MAKE) $$stage; \
		times+="$$stage $$((SECONDS - start)) "; \
	done; \
	echo "== all stages passed"; \
	printf '%-16s %4d s\n' $$times total $$SECONDS

.PHONY: test-short
test-short: ## Run the tests in short mode, without the race detector.
	go test -short ./...

# Vet is part of lint; tests that wait leave a core to a third package.
.PHONY: test-race
test-race: ## Run all tests with the race detector (needs cgo and a C compiler).
	@if [ -n "$(RACE)" ]; then tools/need.sh $$(go env CC) gcc libc6-dev || \
		{ echo "only the race detector needs it: 'make test RACE=' goes without" >&2; exit 1; }; fi
	$(if $(RACE),CGO_ENABLED=1) go test -vet=off -p 3 $(RACE) ./...

.PHONY: test-clients
test-clients: build $(NPM_STAMP) $(CLIENTS_STAMP) ## Lint the OpenAPI document; run a TypeScript and a gRPC client against the service.
	tools/viewer.sh --check
	tools/clients.sh

.PHONY: test-million
test-million: ## Compare a million random recipes with the independent oracle.
	OZEQ_RECIPES=1000000 go test -count=1 -run '^TestOracleAgrees$$' -v -timeout 20m ./pkg/credit

.PHONY: test-solver
test-solver: ## Compare weeks of choices and targets with an independent solver of linear programs, glpsol.
	tools/need.sh glpsol glpk-utils
	go test -tags solver -count=1 -v -run '^TestSolver' ./pkg/menu -rapid.checks=150
	go test -tags solver -count=1 -v -run '^TestSolver' ./pkg/kitchen

.PHONY: test-tools
test-tools: ## Test the helpers under tools/.
	go -C tools vet ./rename ./openapi ./deploy
	go -C tools test ./rename ./deploy

.PHONY: test-ops
test-ops: build ## Restart the service behind HAProxy and overload it; measure its size and start.
	tools/need.sh haproxy haproxy
	go test -tags ops -count=1 -v -timeout 5m -run "^TestOps" ./cmd/ozeq

.PHONY: fuzz-short
fuzz-short: ## Fuzz every Fuzz target for FUZZTIME (30s), FUZZJOBS (11) at a time.
	tools/fuzz.sh $(FUZZTIME) $(FUZZJOBS)

.PHONY: fuzz
fuzz: FUZZTIME = 10m
fuzz: fuzz-short ## Fuzz every Fuzz target for 10 minutes (or FUZZTIME).

.PHONY: bench
bench: ## Run the benchmarks into bin/bench.txt and summarize them (BENCH, BENCHCOUNT, BASE).
	@mkdir -p bin
	go test -run='^$$' -bench='$(BENCH)' -skip='^BenchmarkService$$' -benchmem -count=$(BENCHCOUNT) ./... | tee bin/bench.txt
	$(GO_TOOL) benchstat $(BASE) bin/bench.txt

.PHONY: bench-service
bench-service: ## Put the service under load beside its ceilings: empty echoes of the same messages.
	go test -run='^$$' -bench='^BenchmarkService$$' -benchtime=1x -timeout=20m ./pkg/server

.PHONY: cases
cases: ## Run the published cases and print each one.
	go test ./pkg/published -run TestTable -v -count=1

.PHONY: cover
cover: ## Measure test coverage into coverage/, as a profile and a page.
	@mkdir -p coverage
	go test -coverpkg=./cmd/...,./pkg/... -coverprofile=coverage/cover.out ./...
	go tool cover -html=coverage/cover.out -o coverage/index.html
	go tool cover -func=coverage/cover.out | tail -n 1

.PHONY: generate
generate: $(NPM_STAMP) ## Generate api/ from proto/, and what go:generate lines write.
	tools/generate.sh $(BUF)

.PHONY: viewer
viewer: $(NPM_STAMP) ## Copy the viewer of /docs/ out of its npm package.
	tools/viewer.sh

.PHONY: check-generated
check-generated: $(NPM_STAMP) ## Fail when a generated file is not current.
	tools/check-generated.sh $(BUF)

.PHONY: lint
lint: $(NPM_STAMP) ## Check format, go vet, staticcheck, and the .proto files.
	@files=$$(find . -name node_modules -prune -o -name .git -prune -o -name '*.go' -print | xargs gofmt -l); \
		if [ -n "$$files" ]; then printf 'not in gofmt form:\n%s\n' "$$files" >&2; exit 1; fi
	go vet -tags ops,solver ./...
	$(GO_TOOL) staticcheck -tags ops,solver ./...
	tools/protodeps.sh
	$(BUF) lint
	$(BUF) format --diff --exit-code proto
	$(BUF) breaking proto --against $(CONTRACT)

.PHONY: contract
contract: $(NPM_STAMP) ## Accept the .proto files as they are as the contract not to break.
	@mkdir -p $(dir $(CONTRACT))
	tools/protodeps.sh
	$(BUF) build proto --exclude-source-info -o $(CONTRACT)

.PHONY: rename-module
rename-module: $(NPM_STAMP) ## Give the module another path: MODULE=your.host/name.
	@if [ -z '$(MODULE)' ]; then echo "usage: make rename-module MODULE=your.host/name" >&2; exit 2; fi
	tools/rename-module.sh $(BUF) '$(MODULE)'

.PHONY: tools-deps
tools-deps: $(NPM_STAMP) ## Install and build the tools, and print their versions.
	@printf 'buf '; $(BUF) --version
	@$(GO_TOOL) protoc-gen-go --version
	@$(GO_TOOL) staticcheck -version

# Each lock file installs beside itself.
%/node_modules/.package-lock.json: %/package.json %/package-lock.json %/.npmrc
	tools/need.sh node nodejs
	tools/need.sh npm npm
	npm --prefix $* ci --ignore-scripts
	@touch $@
