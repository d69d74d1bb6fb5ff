# make help lists the targets.
SHELL := /bin/bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := help
BUF := go tool -modfile=tools/buf/go.mod buf

.PHONY: help build man demo demo-drift run test walk test-usb test-page screens test-programs fresh fresh-short bench-page chaos attack faults check bench bench-once figures fuzz generate setup lint proto clean

help: ## list the targets
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | awk -F':.*## ' '{printf "  make %-13s %s\n", $$1, $$2}'

build: ## build gauged and gaugectl into bin/
	@mkdir -p bin
	CGO_ENABLED=0 go build -trimpath -o bin/ ./cmd/gauged ./cmd/gaugectl

man: ## write the manual pages into bin/man
	go run ./tools/manual

demo: build ## run two jobs on simulated gauges, from the first reading to the verdict
	@deploy/demo/demo.sh

demo-drift: build ## a simulated indicator drifts: failed check, alert in Prometheus, recall
	@deploy/demo-drift/demo-drift.sh

run: build ## what make demo runs, and keep the station up
	@deploy/demo/demo.sh --keep

test: setup check ## everything: what CI runs
	go test -race -timeout 20m ./...
	$(MAKE) bench-once
	$(MAKE) walk
	$(MAKE) test-page
	$(MAKE) test-usb

walk: build ## go everywhere that a user of the demonstration can go: page, PDF, every command
	go test -tags walk -count=1 -timeout 10m ./tools/walk

test-usb: build ## in virtual machines: gauges at a real kernel, and the service under a real systemd
	@tools/setup.sh usb
	@tools/usb-test/build.sh
	go test -tags usb -count=1 -v -timeout 10m ./tools/usb-test

test-page: build ## use the bench page in a real browser; pictures go to bin/page-test
	@tools/setup.sh page
	go test -tags page -count=1 -v -timeout 25m ./tools/page-test

screens: build ## make the pictures of docs/screens.md again, in a real browser
	@tools/setup.sh page
	go test -tags page -count=1 ./tools/page-test -run TestScreens -args -screens ../../docs/screens

test-programs: build ## every test that runs a program which make setup installs, and the demonstration
	@tools/setup.sh
	@tools/setup.sh page
	@tools/setup.sh usb
	go test -race -count=1 -timeout 20m ./internal/devices
	go test -count=1 -timeout 20m $$(tools/setup.sh tests)
	$(MAKE) demo walk test-page test-usb

fresh: ## the README's commands on a fresh machine: a clean Debian root, built for it; for root
	@tools/fresh.sh demo test

fresh-short: ## the same with make test-programs alone, as CI runs it after make test
	@tools/fresh.sh test-programs

bench-page: build ## figures of the bench page in a real browser
	@tools/setup.sh page
	go test -tags page -run xxx -bench . -benchtime 1x -timeout 90m ./tools/page-test

chaos: ## pull plugs, flood and garble two hundred lines, for minutes
	go test -race -count=1 -v -timeout 20m ./internal/devices/chaos -rounds 10

attack: ## misbehave towards a real daemon at full length: memory and latency are held to what is promised
	go test -count=1 -v -timeout 20m ./tools/attack -long

FAULTS ?= 100000
faults: ## 100,000 faults under the history: power cuts, disks that fail, damage, moved files, kills
	go test -count=1 -v -timeout 3h ./internal/history -run '^TestFaults$$' -faults $(FAULTS)

check: lint proto ## what a developer runs before a commit, fast
	go test ./internal/gauge ./internal/shopfile ./internal/evaluate ./internal/evaluate/formula ./internal/evaluate/procedure ./internal/config .

lint:
	go vet ./...
	go vet -tags usb ./tools/usb-test
	go vet -tags page ./tools/page-test
	go vet -tags walk ./tools/walk
	go tool staticcheck ./...
	go tool staticcheck -tags page ./tools/page-test
	go tool staticcheck -tags walk ./tools/walk
	@unformatted=$$(git ls-files -co --exclude-standard '*.go' | grep -Ev '\.pb(\.gw)?\.go$$' | xargs go tool gofumpt -l); \
	  if [ -n "$$unformatted" ]; then echo "not formatted with gofumpt:"; echo "$$unformatted"; exit 1; fi
	go mod tidy -diff
	cd tools/buf && go mod tidy -diff
	@tools/dead-code.sh
	GOOS=linux GOARCH=arm64 CGO_ENABLED=0 go build -o /dev/null ./cmd/gauged

proto: ## lint the protos, look for breaking changes, and compare the generated code
	$(BUF) lint
	$(BUF) format -d --exit-code
	$(BUF) breaking --against api/baseline.binpb
	@tools/generated-is-current.sh

generate: ## generate the Go code from the protos, the picture of the packages, the tables of codes
	$(BUF) generate
	go run ./tools/openapi
	go run ./tools/pictures
	go run ./tools/refusals
	go run ./tools/rights

bench: build ## figures: latency, ingest, decoding, evaluation, an idle daemon
	go test -run xxx -bench . -benchtime 1s -timeout 20m ./internal/...
	go test -run xxx -bench . -benchtime 1x -timeout 20m ./cmd/gauged

figures: ## simulate what is claimed about rates, and write docs/figures.md
	go run ./tools/figures docs/figures.md

bench-once: build ## every benchmark once, on short histories: that it runs, not how fast
	go test -short -run xxx -bench . -benchtime 1x -timeout 20m ./...

FUZZTIME ?= 60s
fuzz: ## a minute for each fuzz target of tools/fuzz.txt; FUZZTIME=10m, or 7000000x for so many executions
	@FUZZTIME=$(FUZZTIME) tools/fuzz.sh

setup: ## install, or name, the programs that the tests need
	@tools/setup.sh

clean: ## remove what was built and run
	rm -rf bin deploy/demo/run
